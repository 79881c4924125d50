"""Days: which one a moment belongs to, and which of a stretch count towards a gap."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from itertools import accumulate, pairwise
from zoneinfo import ZoneInfo

from bagatelle.model.progress import DaysOff

_ONE_DAY = timedelta(days=1)


def day_of(moment: datetime, time_zone: str) -> date:
    """The day that clocks in a time zone show at a moment; for a log that gives a moment and names no day.

    Parameters
    ----------
    moment
        With its offset.
    time_zone
        A name of the IANA Time Zone Database, such as `Europe/Lisbon`.

    Raises
    ------
    ValueError
        The moment has no offset, so it is no moment (caller's bug).
    zoneinfo.ZoneInfoNotFoundError
        There is no zone of that name.
    """
    if moment.utcoffset() is None:
        raise ValueError(f"the moment {moment.isoformat()} has no offset")
    return moment.astimezone(ZoneInfo(time_zone)).date()


class Stretch:
    """Days from the first to the last, some of them off by plan.

    Today is not over: it counts towards no gap. No day off does either.
    """

    def __init__(self, first_day: date, last_day: date, days_off: DaysOff, today: date) -> None:
        """Find out which days are off; a first day after the last is a stretch of no day."""
        self.first_day = first_day
        self.last_day = last_day
        days = [first_day + timedelta(days=number) for number in range((last_day - first_day).days + 1)]
        self.off = frozenset(_days_off(days, days_off))
        """Days off by plan, whatever was played on them."""
        self._counted_before = [
            0,
            *accumulate(int(day not in self.off and day != today) for day in days),
        ]

    def holds(self, day: date) -> bool:
        """Say whether a day is one of the stretch."""
        return self.first_day <= day <= self.last_day

    def gaps(self, came_on: Iterable[date], since: date | None = None) -> Sequence[int]:
        """Days on which something did not come, run by run: before each day on which it came, and after the last.

        Parameters
        ----------
        came_on
            Days of the stretch.
        since
            The first day that counts, where it is later than the stretch's own.
        """
        came = sorted(set(came_on))
        first = max(self.first_day, since or self.first_day)
        # A day on which it came ends a run, be it before the first that counts.
        first = min([first, *came[:1]])
        edges = [first - _ONE_DAY, *came, self.last_day + _ONE_DAY]
        return [self._counted_between(earlier, later) for earlier, later in pairwise(edges)]

    def _counted_between(self, earlier: date, later: date) -> int:
        """Days that count, neither end among them."""
        if later <= earlier:
            return 0
        begin, end = (self._position(earlier + _ONE_DAY), self._position(later))
        return self._counted_before[end] - self._counted_before[begin]

    def _position(self, day: date) -> int:
        return min(max((day - self.first_day).days, 0), len(self._counted_before) - 1)


def _days_off(days: Sequence[date], days_off: DaysOff) -> Iterable[date]:
    weekdays = frozenset(days_off.weekdays)
    yield from (day for day in days if day.isoweekday() in weekdays)
    for span in days_off.spans:
        yield from (day for day in days if span.first <= day <= span.last)
