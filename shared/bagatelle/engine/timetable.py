"""From visits to a timetable: rests placed inside long windows, at the borders of units."""

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.engine.budget import WindowTime
from bagatelle.engine.day_of_visits import BodyOrder
from bagatelle.engine.doses import DoseScale, scale_of
from bagatelle.engine.layout import Visit
from bagatelle.engine.problem import Item
from bagatelle.policy.table import Policy


class Slot(Struct, frozen=True, kw_only=True, gc=False):
    """A stretch of one task without a rest, or a rest (no task)."""

    window: int
    task: str | None
    seconds: int
    set_up_seconds: int = 0
    first_unit: int = 0
    units: int = 0
    continues: bool = False


def timetable_of(
    visits: Sequence[Visit], windows: Sequence[WindowTime], scales: Mapping[str, DoseScale], policy: Policy
) -> tuple[Slot, ...]:
    """All slots in the order of the day.

    A window that gives up time to rests gets one after each 25 minutes of playing, at the last border of a unit
    before that; only as long as something follows. It comes earlier, before a visit that it would cut, where half
    of that was played and the window then needs no other.
    """
    slots: list[Slot] = []
    for position, window in enumerate(windows):
        inside = [visit for visit in visits if visit.window == position]
        slots.extend(_window_slots(inside, window, scales, policy))
    return tuple(slots)


def _window_slots(
    visits: Sequence[Visit], window: WindowTime, scales: Mapping[str, DoseScale], policy: Policy
) -> list[Slot]:
    slots: list[Slot] = []
    rest_left = window.rest_seconds
    played = 0
    to_come = sum(visit.seconds + visit.set_up_seconds for visit in visits)
    for visit in visits:
        if rest_left > 0 and _is_whole_after_a_rest(visit, played, to_come, policy):
            rest_left, played = _rest(slots, visit.window, rest_left, policy), 0
        to_come -= visit.seconds + visit.set_up_seconds
        scale = scales[visit.task]
        first, end = visit.first_unit, visit.first_unit + visit.units
        set_up = visit.set_up_seconds
        while first < end:
            until = end
            if rest_left > 0:
                reach = scale.seconds(first) + policy.playing_seconds - played - set_up
                until = min(end, max(scale.units_within(reach), first))
                if until == first and played == 0:
                    until = first + 1
            if until > first:
                seconds = scale.seconds(until) - scale.seconds(first)
                slots.append(
                    Slot(
                        window=visit.window,
                        task=visit.task,
                        seconds=seconds,
                        set_up_seconds=set_up,
                        first_unit=first,
                        units=until - first,
                        continues=first > 0,
                    )
                )
                played += seconds + set_up
                set_up = 0
                first = until
            if first < end:
                rest_left, played = _rest(slots, visit.window, rest_left, policy), 0
    return slots


def _is_whole_after_a_rest(visit: Visit, played: int, to_come: int, policy: Policy) -> bool:
    """A rest between two things is better than one inside a thing, where neither stretch is a crumb."""
    most = policy.playing_seconds
    is_cut = played + visit.set_up_seconds + visit.seconds > most
    return is_cut and to_come <= most <= 2 * played


def _rest(slots: list[Slot], window: int, rest_left: int, policy: Policy) -> int:
    """Place a rest; return how much is left then."""
    seconds = min(rest_left, policy.rest_seconds)
    slots.append(Slot(window=window, task=None, seconds=seconds))
    return rest_left - seconds


def with_short_start(
    slots: Sequence[Slot],
    items: Mapping[str, Item],
    most_seconds: int,
    place_of: Callable[[str], BodyOrder],
) -> tuple[Slot, ...]:
    """The same timetable begun with something small: what is as easy to begin and short enough, else the first step
    cut in two, where that makes a small one and another: of other units, as nobody begins a thing twice, and no
    crumb.

    Parameters
    ----------
    slots, items
        The timetable, and its tasks.
    most_seconds
        What is small.
    place_of
        The place of a task in the order that the body wants.
    """
    slots = _small_first(slots, most_seconds, place_of)
    task = slots[0].task
    if task is None:
        return tuple(slots)
    item = items[task]
    return with_first_cut(slots, scale_of(item), len(item.unit_seconds), item.chunk_seconds, most_seconds)


def with_first_cut(
    slots: Sequence[Slot], scale: DoseScale, round_units: int, chunk_seconds: int, most_seconds: int
) -> tuple[Slot, ...]:
    """The same timetable, its first step, which is one of a task, cut in two where that makes a small one and
    another: of other units, as nobody begins a thing twice, and no crumb.

    Parameters
    ----------
    slots
        The timetable.
    scale, round_units, chunk_seconds
        Of the task of the first step; how many units it has.
    most_seconds
        What is small.
    """
    first = slots[0]
    if first.seconds <= most_seconds:
        return tuple(slots)
    units = scale.units_within(scale.seconds(first.first_unit) + most_seconds) - first.first_unit
    seconds = scale.seconds(first.first_unit + units) - scale.seconds(first.first_unit)
    is_whole = not 0 < units < first.units or first.units > round_units
    if is_whole or first.seconds - seconds < chunk_seconds:
        return tuple(slots)
    rest = replace(
        first,
        seconds=first.seconds - seconds,
        set_up_seconds=0,
        first_unit=first.first_unit + units,
        units=first.units - units,
        continues=True,
    )
    return (replace(first, seconds=seconds, units=units), rest, *slots[1:])


def _small_first(
    slots: Sequence[Slot], most_seconds: int, place_of: Callable[[str], BodyOrder]
) -> Sequence[Slot]:
    """A short step that the body may as well begin with goes to the front, unless the first one is short."""
    first = slots[0]
    if first.task is None or first.seconds <= most_seconds:
        return slots
    for number, slot in enumerate(slots):
        if slot.task is None or slot.window != first.window:
            break
        rank, is_hard_to_begin, *_ = place_of(slot.task)
        is_easy = rank == place_of(first.task)[0] and not is_hard_to_begin
        if slot.seconds <= most_seconds and is_easy and not slot.continues:
            return [slot, *slots[:number], *slots[number + 1 :]]
    return slots
