"""The day of several windows arranged for the body, after the search: the same doses, so the same worth.

What a teacher would not have is counted; then visits change windows as long as that leaves less of it. A change
sends at most one task each way between two windows and shares one out between them. None is taken that breaks a
rule of the search, and there are at most so many of them.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final, NamedTuple, TypeAlias

from bagatelle.engine.day_of_visits import RANKS, Day, Grounds, Members, Trial, Units, visit_seconds
from bagatelle.engine.layout import Laid

_CHANGES: Final = 4
"""So many changes of a day at most."""
_LOOKS: Final = 400
"""So many changes are looked at, for all of them together."""
_VISITS: Final = 2
"""More than that of one thing make scraps of it (common practice, no source); warming up again does not."""
_LOW: Final = RANKS["low"]
_MODERATE: Final = RANKS["moderate"]
_HIGH: Final = RANKS["high"]
_NONE: Final = -1

_Faults: TypeAlias = tuple[int, int, int, int, int, int]
"""The heaviest first; see `_faults_of`."""


class _Change(NamedTuple):
    """What two windows exchange, as indices of tasks; `_NONE` where nothing goes."""

    one: int
    other: int
    there: int
    """It leaves the one window for the other."""
    back: int
    shared: int
    """Both are to have some of it."""


class _Window(NamedTuple):
    """What a teacher sees of one window that is played."""

    cold: int
    """How much the body's first work in it strains: 0 hardly, 1 moderately, 2 much."""
    readies: bool
    """Whether it holds work of the body that is no warm-up and does not strain much."""
    high: int
    """How many of its visits strain much."""
    own: bool
    """Whether the routine's own warm-up is in it."""
    leads: bool
    """Whether it holds more than warming up."""


def arranged(grounds: Grounds, laid: Laid, warm_up: str | None) -> Laid:
    """The visits arranged for the body.

    Parameters
    ----------
    grounds
        Of the tasks that are kept, no others.
    laid
        The visits, in the order of the day.
    warm_up
        The id of the routine's own warm-up; None where none is asked for.
    """
    arrangement = _Arrangement(grounds, laid, warm_up)
    for _ in range(_CHANGES):
        if not arrangement.improve():
            break
    return arrangement.day.laid()


class _Arrangement:
    def __init__(self, grounds: Grounds, laid: Laid, warm_up: str | None) -> None:
        self.day = Day(grounds)
        self.day.begin(laid)
        self._tasks = grounds.tasks
        self._ranks = [task.rank for task in grounds.tasks]
        self._own = next((task.index for task in grounds.tasks if task.item.id == warm_up), _NONE)
        self._most_visits = [
            len(grounds.windows) if task.item.prepares else _VISITS for task in grounds.tasks
        ]
        self._windows: dict[Members, _Window] = {}
        self._left = _LOOKS

    def improve(self) -> bool:
        """Take the change that leaves least of what a teacher would not have; whether there was one."""
        day = self.day
        windows = [self._window(members) for members in day.members]
        before = self._faults_of(windows)
        scraps = self._scraps(day.members)
        if not scraps and not any(before):
            return False
        better: list[tuple[_Faults, int, int, int, _Change]] = []
        for change in self._changes(windows):
            if self._left == 0:
                break
            self._left -= 1
            members = _changed(day.members, change)
            after = list(windows)
            after[change.one] = self._window(members[change.one])
            after[change.other] = self._window(members[change.other])
            faults = self._faults_of(after)
            if faults <= before:
                left = self._scraps(members)
                if faults < before or left < scraps:
                    visits = sum([len(each) for each in members])
                    better.append((faults, left, visits, self._moved_seconds(change), change))
        return any(self._take(change) for *_, change in sorted(better))

    def _faults_of(self, windows: Sequence[_Window | None]) -> _Faults:
        """Much strain before the day's first easier work; windows begun with strain; the own warm-up not in the
        first one; warm-ups that lead to nothing; much strain in a window without easier work; much strain in the
        first, and twice in one.

        Common practice, no source.
        """
        first: _Window | None = None
        readied = False
        unready = cold = idle = alone = crowded = 0
        for each in windows:
            if each is None:
                continue
            if first is None:
                first = each
                crowded = min(each.high, 1)
            readied = readied or each.readies
            cold += each.cold
            idle += not each.leads
            if each.high:
                crowded += each.high - 1
                if not each.readies:
                    alone += each.high
                if not readied:
                    unready += each.high
        late = first is not None and self._own != _NONE and not first.own
        return unready, cold, int(late), idle, alone, crowded

    def _window(self, members: Members) -> _Window | None:
        if not members:
            return None
        if members not in self._windows:
            ranks = [self._ranks[index] for index in members]
            # What is done in the head neither warms a body nor readies it.
            strains = min([rank for rank in ranks if rank in (_MODERATE, _HIGH)], default=0)
            cold = strains - _MODERATE + 1 if strains and min(ranks) > _LOW else 0
            readies = _LOW in ranks or _MODERATE in ranks
            self._windows[members] = _Window(
                cold, readies, ranks.count(_HIGH), own=self._own in members, leads=max(ranks) > 0
            )
        return self._windows[members]

    def _scraps(self, members: Sequence[Members]) -> int:
        """How many visits are of a thing that came twice before."""
        visits = [0] * len(self._tasks)
        for each in members:
            for index in each:
                visits[index] += 1
        return sum([max(count - most, 0) for count, most in zip(visits, self._most_visits, strict=True)])

    def _changes(self, windows: Sequence[_Window | None]) -> Iterator[_Change]:
        """Between two windows that are played, one of them with a fault; none is emptied."""
        day = self.day
        played = [place for place, each in enumerate(windows) if each is not None]
        wrong = {place for place in played if self._is_wrong(windows[place], day.members[place])}
        for one, other in combinations(played, 2):
            if one != played[0] and one not in wrong and other not in wrong:
                continue
            here, there = day.members[one], day.members[other]
            for leaving in (_NONE, *here):
                for coming in (_NONE, *there):
                    for shared in (_NONE, *dict.fromkeys((*here, *there))):
                        change = _Change(one, other, leaving, coming, shared)
                        if _is_sound(change, here, there):
                            yield change

    def _is_wrong(self, window: _Window | None, members: Members) -> bool:
        if window is None or window.cold or not window.leads:
            return window is not None
        if window.high and (window.high > 1 or not window.readies):
            return True
        return any(len(self.day.units[index]) > self._most_visits[index] for index in members)

    def _moved_seconds(self, change: _Change) -> int:
        """How long the visits are that change windows whole: of two changes as good, that of less."""
        seconds = 0
        for index, window in ((change.there, change.one), (change.back, change.other)):
            if index != _NONE:
                seconds += visit_seconds(self._tasks[index], window, self.day.units[index])
        return seconds

    def _take(self, change: _Change) -> bool:
        """Make the change, if the windows hold it and no rule is broken; whether it was made."""
        day = self.day
        units: dict[int, Units] = {}
        for index, source, target in (
            (change.there, change.one, change.other),
            (change.back, change.other, change.one),
        ):
            if index != _NONE:
                each = dict(day.units[index])
                each[target] = each.pop(source) + each.get(target, 0)
                units[index] = each
        members = _changed(day.members, change)
        if change.shared == _NONE:
            return self._holds(change, members, units) and day.take(Trial(0, members, units))
        task = self._tasks[change.shared]
        each = dict(day.units[task.index])
        whole = each.pop(change.one, 0) + each.pop(change.other, 0)
        for here in range(whole - 1, 0, -1):
            shared = {**each, change.one: here, change.other: whole - here}
            if visit_seconds(task, change.other, shared) >= task.visit_seconds:
                units[task.index] = shared
                if self._holds(change, members, units) and day.take(Trial(0, members, dict(units))):
                    return True
        return False

    def _holds(self, change: _Change, members: Sequence[Members], units: dict[int, Units]) -> bool:
        """Whether the two windows have room: most changes fail here, and it is asked quickly."""
        for window in (change.one, change.other):
            room = self.day.windows[window]
            for index in members[window]:
                task = self._tasks[index]
                each = units[index] if index in units else self.day.units[index]
                room -= visit_seconds(task, window, each) + task.set_up
            if room < 0:
                return False
        return True


def _is_sound(change: _Change, here: Members, there: Members) -> bool:
    """Whether it changes anything, in one way only, and leaves something in both windows."""
    _, _, leaving, coming, shared = change
    chosen = [index for index in (leaving, coming, shared) if index != _NONE]
    if not chosen or len(set(chosen)) < len(chosen):
        return False
    stays = len(here) - (leaving != _NONE) + (coming != _NONE) + (shared != _NONE and shared not in here)
    left = len(there) - (coming != _NONE) + (leaving != _NONE) + (shared != _NONE and shared not in there)
    return stays > 0 and left > 0


def _changed(members: Sequence[Members], change: _Change) -> list[Members]:
    """Who visits each window after a change."""
    after = list(members)
    for window, leaving, coming in (
        (change.one, change.there, change.back),
        (change.other, change.back, change.there),
    ):
        kept = {*members[window], coming, change.shared} - {leaving}
        after[window] = tuple(sorted(kept - {_NONE}))
    return after
