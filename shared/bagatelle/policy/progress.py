"""The numbers that progress decides with; none changes a plan, so they are apart from the engine's table."""

from msgspec import Struct


class ProgressPolicy(Struct, frozen=True, kw_only=True):
    """When something is worth an offer."""

    least_change_seconds: int = 60
    """A plan that would be shorter by less than this is no other plan. Own choice."""
    left_out_days: int = 14
    """Left out too long: on so many kept days in a row. Common practice, no source."""
    left_out_cadences: int = 3
    """And on so many times the days of its own cadence. Common practice, no source."""
    skipped_on_sheets: int = 5
    """Skipped again and again: on more than half of at least so many sheets that had it and were begun.

    Common practice, no source.
    """
    stretch_days: int = 84
    """How far back is looked where nobody says: twelve weeks, so that a term is in it. Own choice."""
    glance_weeks: int = 4
    """How many of the last whole weeks a glance at a group looks at. Own choice."""
    short_weeks: int = 3
    """On short days for long: in so many of these nothing of the whole routine was played. Own choice."""
    withheld_below: int = 5
    """No count of a group is shown from which something of fewer students could be told.

    With fewer than three in a part one of them knows the other, and what several people know of one another's days
    makes up for one or two more; publishers of school statistics commonly ask for 5 to 10 (from memory).
    """
