"""A task of a card as today has it: its units in today's order, and how long its doses are."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import date

from bagatelle.engine.doses import DoseScale
from bagatelle.engine.rotation import in_rotation_order
from bagatelle.model.card import Card, CardTask, CardUnit
from bagatelle.model.sheet import MadeFrom
from bagatelle.model.vocabulary import FloorMode


class TodaysTask:
    """One task, its units least recently done first, ties in the order of the card."""

    __slots__ = (
        "_own_ends",
        "card",
        "ends",
        "least_visit_seconds",
        "prepares",
        "scale",
        "set_up_seconds",
        "strains",
        "units",
    )

    def __init__(self, card: CardTask, units: tuple[CardUnit, ...]) -> None:
        self.card = card
        self.units = units
        self.scale = DoseScale(_seconds(units), card.largest_seconds)
        self._own_ends = self.scale.ends
        if units != card.units:
            self._own_ends = DoseScale(_seconds(card.units), card.largest_seconds).ends
        self.ends = self.scale.ends
        """Seconds of 0, 1, 2 ... units, up to the most that a day may hold; at least one unit, however long."""
        self.least_visit_seconds = min(card.chunk_seconds, self.ends[-1])
        self.set_up_seconds = card.set_up_seconds
        self.prepares = card.prepares
        self.strains = card.strains

    def units_within(self, seconds: int) -> int:
        """The most units that end within so many seconds."""
        return self.scale.units_within(seconds)

    def entering_units(self, seconds: int, mode: FloorMode) -> int:
        """The units of a lift that begins it: as many as end within it, and no less than a useful visit.

        Today's first units may be longer than those that the lift was made for.
        """
        chunk = self.card.chunk_seconds if mode != "unit" and seconds >= self.card.chunk_seconds else 0
        return max(self.scale.units_within(seconds), self.scale.units_reaching(chunk))

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


def todays_tasks(card: Card, made_from: MadeFrom) -> dict[str, TodaysTask]:
    """Every task of a card, in its order, by id. What is not dated before the day is not looked at."""
    last: dict[tuple[str, str], date] = {
        (task, unit): day
        for task, units in made_from.last_done.items()
        for unit, day in units.items()
        if day < made_from.date
    }
    return {
        task.id: TodaysTask(task, in_rotation_order(task.id, [(unit.id, unit) for unit in task.units], last))
        for task in card.tasks
    }


def last_done_of(card: Card, made_from: MadeFrom) -> Mapping[str, Mapping[str, date]]:
    """Of what was last done, all that a sheet of this card looks at, in the order of the card."""
    found: dict[str, dict[str, date]] = {}
    for task in card.tasks:
        done = made_from.last_done.get(task.id, {})
        of_task = {
            unit.id: done[unit.id]
            for unit in task.units
            if unit.id in done and done[unit.id] < made_from.date
        }
        if of_task:
            found[task.id] = of_task
    return found
