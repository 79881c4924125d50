"""The day that a moment belongs to, against dateutil's own reading of the IANA Time Zone Database.

The dates of the changes are those of the database itself (files `europe`, `northamerica`, `australasia`).
"""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from bagatelle.progress.days import day_of
from dateutil import tz
from hypothesis import given
from hypothesis import strategies as st

ONE_SECOND = timedelta(seconds=1)
# A day whose length is not 24 hours, and its length: Europe and America an hour, Lord Howe half an hour.
UNEVEN_DAYS = [
    ("Europe/Lisbon", date(2027, 3, 28), 23),
    ("Europe/Lisbon", date(2027, 10, 31), 25),
    ("America/New_York", date(2026, 3, 8), 23),
    ("America/New_York", date(2026, 11, 1), 25),
    ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
    ("Australia/Lord_Howe", date(2026, 10, 4), 23.5),
    ("America/Sao_Paulo", date(2018, 11, 4), 23),
    ("Asia/Kathmandu", date(2026, 5, 1), 24),
]
ZONES = ("Pacific/Apia", "Pacific/Kiritimati", "Africa/Casablanca", *(zone for zone, _, _ in UNEVEN_DAYS))
BEGIN = datetime(1995, 1, 1, tzinfo=UTC)
SECONDS = int((datetime(2026, 12, 31, tzinfo=UTC) - BEGIN).total_seconds())


@given(st.integers(0, SECONDS), st.sampled_from(ZONES), st.integers(-14 * 60, 14 * 60))
def test_the_day_is_dateutils(second: int, zone: str, offset_minutes: int) -> None:
    aware = (BEGIN + timedelta(seconds=second)).astimezone(timezone(timedelta(minutes=offset_minutes)))
    assert day_of(aware, zone) == aware.astimezone(tz.gettz(zone)).date()


@pytest.mark.parametrize(("zone", "day", "hours"), UNEVEN_DAYS)
def test_days_that_are_shorter_or_longer_begin_and_end_at_midnight(
    zone: str, day: date, hours: float
) -> None:
    there = tz.gettz(zone)
    begin = first_moment(day, zone)
    end = begin + timedelta(hours=hours)
    for moment in (begin, end - ONE_SECOND):
        assert day_of(moment, zone) == day == moment.astimezone(there).date()
    for moment in (begin - ONE_SECOND, end):
        assert day_of(moment, zone) == moment.astimezone(there).date() != day


def test_a_day_that_a_zone_skipped_has_no_moment() -> None:
    # Samoa went from Thursday 29 to Saturday 31 December 2011 (IANA Time Zone Database, `australasia`).
    change = datetime(2011, 12, 30, 10, tzinfo=UTC)
    assert day_of(change - ONE_SECOND, "Pacific/Apia") == date(2011, 12, 29)
    assert day_of(change, "Pacific/Apia") == date(2011, 12, 31)


def test_both_hours_that_come_twice_are_of_the_same_day() -> None:
    for hour in (0, 1):
        moment = datetime(2027, 10, 31, hour, 30, tzinfo=UTC)
        assert moment.astimezone(tz.gettz("Europe/Lisbon")).strftime("%H:%M") == "01:30"
        assert day_of(moment, "Europe/Lisbon") == date(2027, 10, 31)


def test_a_moment_without_an_offset_is_refused() -> None:
    with pytest.raises(ValueError, match="has no offset"):
        day_of(datetime.fromisoformat("2027-03-01T12:00"), "Europe/Lisbon")


def first_moment(day: date, zone: str) -> datetime:
    """Return the first second of a day, as dateutil has it: at one of the quarters of an hour around it."""
    there = tz.gettz(zone)
    day_before = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(days=1)
    quarters = (day_before + timedelta(minutes=15 * number) for number in range(48 * 4))
    return next(moment for moment in quarters if moment.astimezone(there).date() == day)
