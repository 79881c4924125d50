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
