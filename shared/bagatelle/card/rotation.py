"""A task of a card as today has it: its units in today's order, and how long its doses are."""

from bisect import bisect_right
from collections.abc import Sequence
from datetime import date

from msgspec.structs import replace

from bagatelle.engine.doses import DoseScale
from bagatelle.engine.rotation import in_playing_order, in_rotation_order, waiting_units
from bagatelle.model.card import Card, CardTask, CardUnit
from bagatelle.model.sheet import MadeFrom
from bagatelle.model.vocabulary import FloorMode


class TodaysTask:
    """One task, its units least recently done first, ties in the order of the card."""

    __slots__ = (
        "_chunk_end",
        "_own_ends",
        "card",
        "ends",
        "least_readying_seconds",
        "playing_order",
        "prepares",
        "scale",
        "set_up_seconds",
        "strains",
        "units",
    )

    def __init__(self, card: CardTask, units: tuple[CardUnit, ...], waiting_units: int) -> None:
        self.card = card
        self.units = units
        self.playing_order = in_playing_order([unit.place for unit in units], waiting_units)
        """Positions of its units, as a step plays them."""
        self.scale = DoseScale(_seconds(units), card.largest_seconds)
        self._own_ends = self.scale.ends
        if units != card.units:
            self._own_ends = DoseScale(_seconds(card.units), card.largest_seconds).ends
        self.ends = self.scale.ends
        """Seconds of 0, 1, 2 ... units, up to the most that a day may hold; at least one unit, however long."""
        self._chunk_end = self.ends[self.scale.units_reaching(card.chunk_seconds)]
        self.least_readying_seconds = (min(card.chunk_seconds, self.ends[-1]) + 1) // 2
        """The least of it that readies for what strains in a later window: half of a useful visit."""
        self.set_up_seconds = card.set_up_seconds
        self.prepares = card.prepares
        self.strains = card.strains

    def units_of_rounds(self, rounds: int) -> int:
        """Each of its units so often, or the smallest useful visit where that takes more."""
        of_rounds = min(rounds * len(self.units), self.scale.largest_units)
        return max(of_rounds, self.scale.units_reaching(self.card.chunk_seconds))

    def units_within(self, seconds: int) -> int:
        """The most units that end within so many seconds."""
        return self.scale.units_within(seconds)

    def entering_units(self, seconds: int, mode: FloorMode) -> int:
        """The units of a lift that begins it: as many as end within it, and no less than a useful visit.

        Today's first units may be longer than those that the lift was made for.
        """
        chunk = self.card.chunk_seconds if mode != "unit" and seconds >= self.card.chunk_seconds else 0
        return max(self.scale.units_within(seconds), self.scale.units_reaching(chunk))

    def least_visit_seconds(self, window_seconds: int) -> int:
        """The smallest useful visit to a window that has so many seconds for it."""
        least = min(self.card.chunk_seconds, self.ends[-1])
        return least if self._chunk_end <= window_seconds else (least + 1) // 2

    def floor_seconds(self, playing_seconds: int, mode: FloorMode) -> int:
        """The least that a task gets which a rung begins, its units counted in the order of the card."""
        card, ends = self.card, self._own_ends
        if mode == "unit":
            return ends[1]
        chunk = next((end for end in ends[1:] if end >= card.chunk_seconds), ends[-1])
        if mode == "chunk":
            return chunk
        wanted = min(card.usual_seconds, playing_seconds) // 2 - card.set_up_seconds
        within = min(wanted, card.largest_floor_seconds)
        return max(chunk, ends[max(bisect_right(ends, within) - 1, 0)])


def _seconds(units: Sequence[CardUnit]) -> tuple[int, ...]:
    return tuple([unit.seconds for unit in units])


class TodaysTasks:
    """The tasks of a card as today has them, each made when it is first asked for: most days hold a few of many.

    What is not dated before the day is not looked at.
    """

    def __init__(self, card: Card, made_from: MadeFrom) -> None:
        self.cards = {task.id: task for task in card.tasks}
        """In the order of the card."""
        self._date = made_from.date
        self._last_done = made_from.last_done
        self._known: dict[str, TodaysTask] = {}

    def __getitem__(self, name: str) -> TodaysTask:
        known = self._known.get(name)
        if known is None:
            task = self.cards[name]
            last = {(name, unit): day for unit, day in self._days(name).items()}
            units = (
                in_rotation_order(name, [(unit.id, unit) for unit in task.units], last)
                if last
                else task.units
            )
            waiting = waiting_units(name, [unit.id for unit in units], task.area, last)
            known = self._known[name] = TodaysTask(task, units, waiting)
        return known

    def _days(self, name: str) -> dict[str, date]:
        done = self._last_done.get(name)
        return {unit: day for unit, day in done.items() if day < self._date} if done else {}

    def last_day(self, name: str) -> date:
        """When any unit of a task was last done before the day."""
        days = self._days(name)
        return max([days.get(unit.id, date.min) for unit in self.cards[name].units])


def todays_turns(tasks: TodaysTasks) -> dict[str, str]:
    """Task -> the task that has its turn today: among those alike, what waited longest has the first place."""
    groups: dict[str, list[str]] = {}
    for name, task in tasks.cards.items():
        groups.setdefault(task.alike_with, []).append(name)
    turns: dict[str, str] = {}
    for names in groups.values():
        # Sorting keeps the order of the card among what waited as long.
        by_turn = sorted(names, key=tasks.last_day) if len(names) > 1 else names
        turns.update(zip(names, by_turn, strict=True))
    return turns


def only_needed(card: Card, made_from: MadeFrom) -> MadeFrom:
    """The same with no other last days than those that a sheet of this card looks at, in the order of the card."""
    found: dict[str, dict[str, date]] = {}
    for task in card.tasks:
        done = made_from.last_done.get(task.id, {})
        days = [(unit.id, done.get(unit.id)) for unit in task.units]
        of_task = {unit: day for unit, day in days if day is not None and day < made_from.date}
        if of_task:
            found[task.id] = of_task
    return replace(made_from, last_done=found)
