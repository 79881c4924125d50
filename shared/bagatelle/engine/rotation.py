"""Which keys and which bars come next.

Units least recently done come first, ties in the exercise's own order; only whole units done count. So with n
units and m different ones on each day that the task is kept, every unit comes back within ceil(n / m) such days.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TypeAlias, TypeVar

from bagatelle.model.request import HistoryEntry
from bagatelle.model.vocabulary import MUSIC_AREAS, Area

LastDone: TypeAlias = Mapping[tuple[str, str], date]
"""(task id, unit id) -> the last day on which that unit was done whole."""

U = TypeVar("U")


def last_done_units(history: Iterable[HistoryEntry], before: date) -> dict[tuple[str, str], date]:
    """When each unit was last done, from what is dated before that day."""
    last: dict[tuple[str, str], date] = {}
    for entry in history:
        if entry.date >= before:
            continue
        for unit in entry.units:
            key = (entry.task, unit)
            if key not in last or last[key] < entry.date:
                last[key] = entry.date
    return last


def last_done_tasks(history: Iterable[HistoryEntry], before: date) -> dict[str, date]:
    """When each task was last done, from what is dated before that day."""
    last: dict[str, date] = {}
    for entry in history:
        if entry.date < before and (entry.task not in last or last[entry.task] < entry.date):
            last[entry.task] = entry.date
    return last


def in_rotation_order(task: str, units: Sequence[tuple[str, U]], last_done: LastDone) -> tuple[U, ...]:
    """The units (id, anything), least recently done first; never done is the least recent of all."""
    # Sorting keeps the exercise's own order among what is alike.
    ordered = sorted(units, key=lambda named: last_done.get((task, named[0]), date.min))
    return tuple([unit for _, unit in ordered])


def waiting_units(task: str, units: Sequence[str], area: Area, last_done: LastDone) -> int:
    """How many of the units, in rotation order, a step plays before the others: of music, what the last day missed.

    It is begun with while hands and ears are fresh (common practice, no source). What is no music keeps its own
    order: it climbs.
    """
    if area not in MUSIC_AREAS:
        return 0
    days = [last_done.get((task, unit), date.min) for unit in units]
    return sum(day < days[-1] for day in days)


def in_playing_order(places: Sequence[int], waiting: int) -> list[int]:
    """Positions in rotation order, as they are played: those that wait, then the others, each in their own order.

    :param places: of each unit in rotation order, its place in the exercise or piece.
    """
    return sorted(range(len(places)), key=lambda position: (position >= waiting, places[position]))
