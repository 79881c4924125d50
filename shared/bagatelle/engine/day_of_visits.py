"""A plan of several windows while it is being searched for: who visits which window, with how many units."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, TypeAlias

from msgspec import Struct

from bagatelle.engine.layout import Laid
from bagatelle.engine.problem import Problem, things
from bagatelle.engine.visit_task import VisitTask
from bagatelle.engine.window_fill import Filled, Stay, fill
from bagatelle.model.vocabulary import Strain

Members: TypeAlias = tuple[int, ...]
"""Indices of the tasks that visit one window, ascending."""
Change: TypeAlias = Sequence[tuple[int, Members]]
"""Windows with their new members, in the order in which they are to be filled."""
Units: TypeAlias = dict[int, int]
"""Window -> units of one task there."""
BodyOrder: TypeAlias = tuple[int, bool, int, int, str]
"""The place of a task in the order that the body wants: lower comes first, and first of all counts its strain."""
RANKS: Final[dict[Strain, int]] = {"low": 1, "none": 2, "moderate": 3, "high": 4}
"""The first number of that order, 0 for what prepares. What is played follows the warm-up at once."""
CLOSES: Final = 5
"""The rank of a warm-down: it follows what strains."""
AT_REST: Final = 6
"""The rank of what no hand, lip or voice does: between what warms up and what strains, it would leave them cold."""
LAST: Final = 7
"""The rank of a warm-down in the head: there is nothing to warm down from."""
_STRAINED: Final = frozenset({RANKS["moderate"], RANKS["high"]})


class Trial(Struct, frozen=True):
    """What a change would come to."""

    gain: int
    members: list[Members]
    units: dict[int, Units]
    """Of the tasks that are touched, by index."""


class Grounds(Struct, frozen=True):
    """What stays the same during one search."""

    problem: Problem
    windows: tuple[int, ...]
    tasks: tuple[VisitTask, ...]
    task_limit: int
    """Of things."""
    forbidden: frozenset[int] | None
    """A set of tasks that no plan may keep exactly."""

    @property
    def most_tasks(self) -> int:
        """No plan keeps more, what comes on top with them."""
        return self.task_limit + any(task.item.prepares for task in self.tasks)


class Day:
    """Visits of every window, with what they take. Changes are tried first, then taken where they are legal."""

    def __init__(self, grounds: Grounds) -> None:
        self._grounds = grounds
        self._filled: dict[tuple[int, Members], Filled | None] = {}
        self.windows = grounds.windows
        self.tasks = grounds.tasks
        self.begin([])

    def begin(self, laid: Iterable[tuple[int, int, int]]) -> None:
        """Start again from these visits; they must be in the order of the day."""
        self.units: list[Units] = [{} for _ in self.tasks]
        members: list[list[int]] = [[] for _ in self.windows]
        for window, index, units in laid:
            members[window].append(index)
            self.units[index][window] = units
        self.members: list[Members] = [tuple(sorted(each)) for each in members]
        self.loads = [self._load(window, self.members, {}) for window in range(len(self.windows))]
        self.spare = self._grounds.problem.capacity_seconds - sum(self.loads)
        self.versions = [0] * len(self.windows)
        self.kept = sum(map(bool, self.units))
        """How many tasks are visited."""

    def worth(self) -> int:
        """Worth of the doses."""
        return sum(task.worths[sum(each.values())] for task, each in zip(self.tasks, self.units, strict=True))

    def laid(self) -> Laid:
        """The visits, in the order of the day and, inside a window, of the tasks' indices."""
        return [
            (window, index, self.units[index][window])
            for window, members in enumerate(self.members)
            for index in members
        ]

    def try_change(self, change: Change, held: Mapping[int, int] | None = None) -> Trial | None:
        """Fill the changed windows anew, one after the other; None where one of them can't hold its visits.

        Parameters
        ----------
        change
            The windows.
        held
            Index of a task -> units that it is to have in the first window of the change.
        """
        members = list(self.members)
        touched: set[int] = set()
        room = self.spare
        for window, after in change:
            touched.update(members[window], after)
            members[window] = after
            room += self.loads[window]
        units = {index: dict(self.units[index]) for index in touched}
        for window, after in change:
            for index in self.members[window]:
                if index not in after:
                    units[index].pop(window, None)
        for number, (window, after) in enumerate(change):
            if not after:
                continue
            within = min(self.windows[window], room)
            filled = self._fill(window, after, units, within, None if number else held)
            if filled is None:
                return None
            for index, taken in zip(after, filled.units, strict=True):
                units[index][window] = taken
            room -= within - filled.left
        return self._trial(members, units)

    def exchanged(self, one: int, other: int) -> Trial:
        """Two windows with their visits exchanged; the doses stay."""
        members = list(self.members)
        members[one], members[other] = members[other], members[one]
        places = {one: other, other: one}
        units = {
            index: {places.get(window, window): taken for window, taken in self.units[index].items()}
            for index in {*members[one], *members[other]}
        }
        return Trial(0, members, units)

    def _trial(self, members: list[Members], units: dict[int, Units]) -> Trial | None:
        gain = 0
        for index, each in units.items():
            task = self.tasks[index]
            dose = sum(each.values())
            if 0 < dose < task.low:
                return None
            gain += task.worths[dose] - task.worths[sum(self.units[index].values())]
        return Trial(gain, members, units)

    def _fill(
        self,
        window: int,
        members: Members,
        units: Mapping[int, Units],
        room: int,
        held: Mapping[int, int] | None,
    ) -> Filled | None:
        stays = []
        alone = held is None
        for index in members:
            task = self.tasks[index]
            each = units[index]
            if (not each or (len(each) == 1 and window in each)) and (held is None or index not in held):
                stays.append(Stay(task, 0, 0, task.low, task.high))
            else:
                alone = False
                stays.append(_stay(task, window, each, held))
        if not alone:
            return fill(stays, room)
        key = (room, members)
        if key not in self._filled:
            self._filled[key] = fill(stays, room)
        return self._filled[key]

    def _load(self, window: int, members: Sequence[Members], units: Mapping[int, Units]) -> int:
        """Seconds that the visits of a window take, set-ups and all."""
        load = 0
        for index in members[window]:
            task = self.tasks[index]
            each = units[index] if index in units else self.units[index]
            load += visit_seconds(task, window, each) + task.set_up
        return load

    def take(self, trial: Trial) -> bool:
        """Make a trial's plan this one, if it is legal; whether it is."""
        if not self.is_legal(trial.members):
            return False
        changed = {window for index in trial.units for window in trial.units[index]}
        changed |= {window for index in trial.units for window in self.units[index]}
        loads = list(self.loads)
        for window in changed:
            loads[window] = self._load(window, trial.members, trial.units)
            if loads[window] > self.windows[window]:
                return False
        spare = self._grounds.problem.capacity_seconds - sum(loads)
        if spare < 0 or not all(self._visits_hold(index, each) for index, each in trial.units.items()):
            return False
        for window in changed:
            self.versions[window] += 1
        self.members = trial.members
        self.loads = loads
        self.spare = spare
        for index, each in trial.units.items():
            self.kept += bool(each) - bool(self.units[index])
            self.units[index] = each
        return True

    def _visits_hold(self, index: int, each: Units) -> bool:
        """Whether every visit of a task lasts long enough."""
        task = self.tasks[index]
        return all(visit_seconds(task, window, each) >= task.visit_seconds for window in each)

    def is_legal(self, members: Sequence[Members]) -> bool:
        """Whether the duties are met, and nothing that strains comes before what prepares for it."""
        kept = {index for each in members for index in each}
        return kept_legally(self._grounds, kept) and self._in_order(members)

    def _in_order(self, members: Sequence[Members]) -> bool:
        """What strains never visits an earlier window than all that prepares.

        Without that duty a day opens with strain, moderate too, only where there is nothing else: stricter than the
        rule, which speaks of high strain alone, and never looser.
        """
        prepare = self._grounds.problem.duties.prepare
        waits = opens = None
        for window, each in enumerate(members):
            for index in each:
                task = self.tasks[index]
                if opens is None and (task.item.prepares if prepare else task.rank not in _STRAINED):
                    opens = window
                if waits is None and (task.item.strains if prepare else task.rank in _STRAINED):
                    waits = window
        return waits is None or opens is None or opens <= waits


def kept_legally(grounds: Grounds, kept: set[int]) -> bool:
    """Whether a set of tasks meets every duty and limit, whatever its doses."""
    duties = grounds.problem.duties
    items = [grounds.tasks[index].item for index in kept]
    strains = any(item.strains for item in items)
    preparing = sum(item.prepares for item in items)
    return (
        len(items) > 0
        and things(items) <= grounds.task_limit
        and (grounds.forbidden is None or kept != grounds.forbidden)
        and sum(item.must for item in items) == sum(task.item.must for task in grounds.tasks)
        and (not duties.more or not all(item.warm_up for item in items))
        and (not duties.music or any(item.music for item in items))
        and (not duties.prepare or not strains or preparing > 0)
        and (not any(item.stand_in for item in items) or (strains and preparing == 1))
    )


def visit_seconds(task: VisitTask, window: int, each: Units) -> int:
    """Playing seconds of one visit."""
    before = 0
    if len(each) > 1:
        for other, units in each.items():
            if other < window:
                before += units
    return task.ends[before + each[window]] - task.ends[before]


def _stay(task: VisitTask, window: int, each: Units, held: Mapping[int, int] | None) -> Stay:
    """A visit beside others of the same task."""
    before = elsewhere = 0
    others_later = False
    for other, units in each.items():
        if other < window:
            before += units
            elsewhere += units
        elif other > window:
            elsewhere += units
            others_later = True
    if held is not None and task.index in held:
        least = most = held[task.index]
    elif others_later and not task.uniform and window in each:
        # More or fewer units here would shift all later ones, which are of other lengths.
        least = most = each[window]
    else:
        least = max(task.smallest_visit(before), task.low - elsewhere)
        most = task.high
    return Stay(task, before, elsewhere, least, min(most, task.high - elsewhere))
