"""From the timetable of a sheet to its steps, with the words that the card holds."""

from collections import Counter
from collections.abc import Sequence

from bagatelle.card.rotation import TodaysTask, TodaysTasks
from bagatelle.engine.timetable import Slot
from bagatelle.model.card import Card, CardUnit
from bagatelle.model.sheet import SheetStep, SheetUnit
from bagatelle.model.vocabulary import STRAINS


def steps_of(card: Card, slots: Sequence[Slot], tasks: TodaysTasks) -> tuple[SheetStep, ...]:
    """One step a slot. The first thing of a window that comes cold is to be begun slowly.

    What several steps of a window caution against is said at the first of them, and again where one strains more.
    """
    steps: list[SheetStep] = []
    said: dict[int, dict[str, int]] = {}
    warm: set[int] = set()
    names = _Names()
    for slot in slots:
        if slot.task is None:
            steps.append(_rest(card, slot, names))
            continue
        task = tasks[slot.task]
        wants_warmth = task.strains or (slot.window > 0 and task.card.cold_later)
        is_cold = slot.window not in warm and wants_warmth
        if task.card.warms:
            warm.add(slot.window)
        begin = (card.texts.cold_caution,) if is_cold else ()
        of_window = said.setdefault(slot.window, dict.fromkeys(card.cautions, len(STRAINS)))
        rank = STRAINS.index(task.card.strain)
        cautions = [text for text in (*begin, *task.card.cautions) if of_window.get(text, -1) < rank]
        of_window.update(dict.fromkeys(cautions, rank))
        steps.append(_step(card, slot, task, names.of_part(slot.task, slot.window), cautions))
    return tuple(steps)


class _Names:
    """Ids of steps: a task's visit keeps its own when the day grows; further parts of a visit are counted."""

    def __init__(self) -> None:
        self._visits = Counter[str]()
        self._parts = Counter[tuple[str, int]]()
        self._rests = Counter[int]()

    def of_part(self, task: str, window: int) -> str:
        """A task visits a window once."""
        self._parts[task, window] += 1
        part = self._parts[task, window]
        if part == 1:
            self._visits[task] += 1
        visit = f"{task}@{self._visits[task]}"
        return visit if part == 1 else f"{visit}.{part}"

    def of_rest(self, window: int) -> str:
        """No task's id begins so."""
        self._rests[window] += 1
        return f"@rest.{window + 1}.{self._rests[window]}"


def _rest(card: Card, slot: Slot, names: _Names) -> SheetStep:
    texts = card.texts
    return SheetStep(
        id=names.of_rest(slot.window),
        kind="rest",
        window=slot.window,
        seconds=slot.seconds,
        title=texts.rest_what,
        what=texts.rest_what,
        how=texts.rest_how,
        how_much=duration(card, slot.seconds),
        done_when=texts.rest_done_when,
    )


def duration(card: Card, seconds: int) -> str:
    """To the nearest half minute, at least one of them."""
    halves = max((seconds + 15) // 30, 1)
    return card.texts.durations[min(halves, len(card.texts.durations)) - 1]


def _step(card: Card, slot: Slot, task: TodaysTask, name: str, cautions: Sequence[str]) -> SheetStep:
    of_task = task.card
    units = _units(task, slot)
    several = len(units) > 1
    return SheetStep(
        id=name,
        kind="task",
        window=slot.window,
        seconds=slot.seconds,
        set_up_seconds=slot.set_up_seconds,
        task=of_task.id,
        block=of_task.block,
        area=of_task.area,
        title=of_task.title,
        what=of_task.what,
        units=units,
        how=of_task.how_each if several and of_task.how_each else of_task.how,
        how_much=duration(card, slot.seconds) if of_task.by_time else "",
        done_when=of_task.done_when_each if several and of_task.done_when_each else of_task.done_when,
        cautions=tuple(cautions),
        filled_in=of_task.filled_in,
        continues=slot.continues,
        stands_in_for=of_task.stands_in_for,
    )


def _units(task: TodaysTask, slot: Slot) -> tuple[SheetUnit, ...]:
    """What today's order gives a step, in the order of playing."""
    round_units = len(task.units)
    rounds = Counter(index % round_units for index in range(slot.first_unit, slot.first_unit + slot.units))
    return tuple([_unit(task.units[index], rounds[index]) for index in task.playing_order if index in rounds])


def _unit(unit: CardUnit, times: int) -> SheetUnit:
    how_much = unit.how_much[min(times, len(unit.how_much)) - 1] if unit.how_much else ""
    return SheetUnit(unit=unit.id, what=unit.what, how_much=how_much, times=times, detail=unit.detail)
