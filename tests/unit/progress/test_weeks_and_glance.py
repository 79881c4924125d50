"""Weeks as ISO 8601 numbers them, and the last weeks of a student on short days."""

from datetime import date, timedelta

import pytest
from bagatelle.model.progress import LogEntry, LogKind
from bagatelle.progress.glance import group_glance, short_only_weeks
from bagatelle.progress.summing import weeks_of

TODAY = date(2027, 4, 1)
"""A Thursday."""
THIS_MONDAY = date(2027, 3, 29)


def entry(day: date, kind: LogKind = "short", seconds: int = 60) -> LogEntry:
    return LogEntry(id=f"{day}-{kind}", day=day, kind=kind, area="tone", seconds=seconds)


# ISO 8601:2004, 3.2.2 and 4.1.4.2: the week with the year's first Thursday is its first (examples from memory).
@pytest.mark.parametrize(
    ("day", "year", "week", "monday"),
    [
        (date(2008, 12, 29), 2009, 1, date(2008, 12, 29)),
        (date(2010, 1, 3), 2009, 53, date(2009, 12, 28)),
        (date(2027, 1, 1), 2026, 53, date(2026, 12, 28)),
    ],
)
def test_a_week_may_be_of_another_year(day: date, year: int, week: int, monday: date) -> None:
    (found,) = weeks_of([entry(day)])
    assert (found.year, found.week, found.monday) == (year, week, monday)


def test_free_playing_and_what_is_of_no_area_stand_apart() -> None:
    entries = [
        entry(TODAY),
        entry(TODAY, "free", 600),
        LogEntry(id="erased-task", day=TODAY, kind="usual", seconds=30),
    ]
    (week,) = weeks_of(entries)
    assert [(area.area, area.seconds) for area in week.areas] == [("tone", 60)]
    assert (week.free_seconds, week.no_area_seconds, week.seconds) == (600, 30, 690)


def test_a_week_counts_with_short_days_and_no_usual_one() -> None:
    weeks_ago = [THIS_MONDAY - timedelta(weeks=number) for number in range(6)]
    entries = [
        entry(weeks_ago[0]),
        entry(weeks_ago[1]),
        entry(weeks_ago[2]),
        entry(weeks_ago[2] + timedelta(days=6), "usual"),
        entry(weeks_ago[3], "free"),
        entry(weeks_ago[4], "free"),
        entry(weeks_ago[4] + timedelta(days=1)),
        entry(weeks_ago[5]),
    ]
    # Of the last four whole weeks: one short, one with a usual day, one of free playing alone, one with both.
    assert short_only_weeks(entries, TODAY, weeks=4) == 2
    assert short_only_weeks([*entries, *entries], TODAY, weeks=5) == 3


def test_a_least_number_of_none_is_refused() -> None:
    with pytest.raises(ValueError, match="below 1 at least"):
        group_glance([], short_weeks=3, withheld_below=0)
