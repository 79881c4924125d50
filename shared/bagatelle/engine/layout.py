"""Laying doses into windows: which visits a task gets, and when.

The windows are filled in the order of the day, tasks in the order that the body wants. A task that a window can't
hold whole goes on in the next, in visits no smaller than its chunk, each paying its set-up.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bagatelle.engine.problem import DoseScale, Item


class Visit(Struct, frozen=True, kw_only=True):
    """One stay with a task inside one window."""

    window: int
    task: str
    first_unit: int
    """How many units of the dose were played before."""
    units: int
    seconds: int
    set_up_seconds: int


class Piece(Struct, frozen=True, kw_only=True):
    """A task to lay: its dose and the smallest visit."""

    item: Item
    scale: DoseScale
    units: int
    visit_seconds: int


def lay_out(pieces: Sequence[Piece], windows: Sequence[int]) -> tuple[Visit, ...] | None:
    """The visits of each piece in turn; None where the windows (playing seconds) can't hold them."""
    visits: list[Visit] = []
    window = 0
    room = windows[0]
    for piece in pieces:
        done = 0
        while done < piece.units:
            units = _visit_units(piece, done, room)
            if units == 0:
                window += 1
                if window == len(windows):
                    return None
                room = windows[window]
                continue
            seconds = piece.scale.seconds(done + units) - piece.scale.seconds(done)
            visits.append(
                Visit(
                    window=window,
                    task=piece.item.id,
                    first_unit=done,
                    units=units,
                    seconds=seconds,
                    set_up_seconds=piece.item.set_up_seconds,
                )
            )
            room -= seconds + piece.item.set_up_seconds
            done += units
    return tuple(visits)


def _visit_units(piece: Piece, done: int, room: int) -> int:
    """How many units the next visit takes of a room; none where no useful visit fits."""
    scale = piece.scale
    start = scale.seconds(done)
    end = scale.seconds(piece.units)
    reach = start + room - piece.item.set_up_seconds
    if reach >= end:
        return piece.units - done
    # What is left for later must be a useful visit too.
    units = min(scale.units_within(reach), scale.units_within(end - piece.visit_seconds)) - done
    if units <= 0 or scale.seconds(done + units) - start < piece.visit_seconds:
        return 0
    return units


def seconds_of_visits(visits: Sequence[Visit]) -> int:
    """Doses and set-ups together."""
    return sum(visit.seconds + visit.set_up_seconds for visit in visits)


def doses_of_visits(visits: Sequence[Visit]) -> Mapping[str, int]:
    """Units of each task."""
    doses: dict[str, int] = {}
    for visit in visits:
        doses[visit.task] = doses.get(visit.task, 0) + visit.units
    return doses
