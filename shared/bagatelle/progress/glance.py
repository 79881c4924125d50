"""A group at a glance: counts alone, and no count that would point at a few.

What a count leaves of the group is a count too: whoever knows how many are in the group finds it by subtraction. So
a count is shown only where neither it nor its rest is of fewer students than the least number, and the two counts
that make up the group stand or fall together. None counts as few: a count of nobody says something of everybody. In
a group smaller than the least number its size is withheld with the rest.

This holds within one answer. Two answers, of groups that share most of their students or of one group before and
after somebody joined, can be subtracted from one another; who asks must be allowed to know of each student what
they could find so.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from bagatelle.model.progress import GroupGlance, LogEntry, StudentSummary
from bagatelle.progress.entries import entries_that_count, kept_days


def group_glance(students: Sequence[StudentSummary], short_weeks: int, withheld_below: int) -> GroupGlance:
    """Count a group's students.

    Parameters
    ----------
    students
        One summary each, in any order.
    short_weeks
        In how many of the last weeks a student must have been on short days only to be counted so.
    withheld_below
        The least number of students that may be in any part that is shown, or can be found; at least 1.

    Raises
    ------
    ValueError
        `withheld_below` is not at least 1 (caller's bug).
    """
    if withheld_below < 1:
        raise ValueError(f"counts are withheld below 1 at least, not {withheld_below}")
    total = len(students)
    ready = _shown(sum(student.plans_ready for student in students), total, withheld_below)
    short_only = sum(student.short_only_weeks >= short_weeks for student in students)
    return GroupGlance(
        students=total if total >= withheld_below else None,
        plans_ready=ready,
        plans_missing=None if ready is None else total - ready,
        short_only=_shown(short_only, total, withheld_below),
        withheld_below=withheld_below,
    )


def short_only_weeks(delivered: Iterable[LogEntry], today: date, weeks: int) -> int:
    """Of the last whole weeks, Monday to Sunday, those with a short day kept and no usual one.

    Parameters
    ----------
    delivered
        Logs in any order, doubles and revisions among them.
    today
        Its week is not over, and is not among them.
    weeks
        How many weeks to look at.
    """
    this_monday = today - timedelta(days=today.weekday())
    kinds_by_monday: dict[date, set[str]] = {}
    for day, kind in kept_days(entries_that_count(delivered)).items():
        monday = day - timedelta(days=day.weekday())
        if this_monday - timedelta(weeks=weeks) <= monday < this_monday:
            kinds_by_monday.setdefault(monday, set()).add(kind)
    return sum("short" in kinds and "usual" not in kinds for kinds in kinds_by_monday.values())


def _shown(count: int, total: int, least: int) -> int | None:
    """A count, if neither it nor its rest is of too few."""
    return count if min(count, total - count) >= least else None
