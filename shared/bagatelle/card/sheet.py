"""Making the day sheet of a card."""

from collections import Counter
from collections.abc import Iterable, Sequence

from bagatelle.card.day_time import check_growth, day_seconds
from bagatelle.card.rotation import TodaysTasks, todays_turns
from bagatelle.card.sheet_steps import steps_of
from bagatelle.card.walking import DayWalk
from bagatelle.engine.layout import Visit, seconds_of_visits
from bagatelle.engine.sound import WHOLE_DAY_MILLIONTHS
from bagatelle.engine.timetable import Slot, timetable_of, with_first_cut
from bagatelle.model.card import Card
from bagatelle.model.plan import Notice
from bagatelle.model.sheet import DaySheet, MadeFrom, SheetStep, SheetWindow
from bagatelle.policy.table import Policy


def make_sheet(card: Card, made_from: MadeFrom) -> DaySheet:
    """Make the sheet of one date. The same card and the same `made_from` give the same sheet, always.

    Raises
    ------
    NotMoreTimeError
        What the day gave later is not more than what it gave before.
    """
    check_growth(card, made_from.asks)
    tasks = TodaysTasks(card, made_from)
    walk = DayWalk(card, tasks, todays_turns(tasks))
    for ask in made_from.asks:
        walk.give(ask)
    visits = walk.day.listed()
    planned_seconds = seconds_of_visits(visits)
    slots = _slots(card, walk, visits, tasks)
    steps = steps_of(card, slots, tasks)
    return DaySheet(
        kind=card.kind,
        card=made_from.card,
        date=made_from.date,
        locale=card.locale,
        windows=tuple(
            SheetWindow(
                seconds=window.seconds,
                rest_seconds=window.rest_seconds,
                slack_seconds=window.slack_seconds,
                starts_at=window.starts_at,
            )
            for window in walk.day.windows
        ),
        steps=steps,
        planned_seconds=planned_seconds,
        cautions=(*card.cautions, *dict.fromkeys(_cautions(card, steps))),
        notices=tuple(_notices(card, walk, planned_seconds)),
    )


def _slots(card: Card, walk: DayWalk, visits: Sequence[Visit], tasks: TodaysTasks) -> Sequence[Slot]:
    """The timetable; where the card asks for it, it begins with something small."""
    numbers = card.numbers
    policy = Policy(
        rest_from_seconds=numbers.rest_from_seconds,
        playing_seconds=numbers.playing_seconds,
        rest_seconds=numbers.rest_seconds,
    )
    scales = {name: tasks[name].scale for name in walk.day.stays}
    slots = timetable_of(visits, walk.day.windows, scales, policy)
    first = tasks[slots[0].task] if slots and slots[0].task is not None else None
    # A warm-up is small enough to begin with as it is.
    if first is None or first.prepares or numbers.first_seconds is None:
        return slots
    useful_half = (first.card.chunk_seconds + 1) // 2
    return with_first_cut(slots, first.scale, len(first.units), useful_half, numbers.first_seconds)


def _cautions(card: Card, steps: Sequence[SheetStep]) -> Iterable[str]:
    """What the day's steps make of the day as a whole, but for what one of them says."""
    said = {text for step in steps for text in step.cautions}
    seconds = Counter[str]()
    for step in steps:
        if step.task is not None:
            seconds[step.task] += step.seconds
    kept = [task for task in card.tasks if task.id in seconds]
    if any(task.strains for task in kept) and not any(task.prepares for task in kept):
        yield card.texts.unprepared_caution
    yield from (task.day_caution for task in kept if task.day_caution and task.day_caution not in said)
    if sum(task.sound_millionths * seconds[task.id] for task in kept) > WHOLE_DAY_MILLIONTHS:
        yield card.texts.sound_caution


def _notices(card: Card, walk: DayWalk, planned_seconds: int) -> Iterable[Notice]:
    texts, most = card.texts, card.numbers.most_seconds
    given = sum(window.seconds for window in walk.day.windows)
    if most is not None and given > day_seconds(card, walk.day.windows):
        yield Notice(code="little-energy", message=texts.most_seconds_reached)
    elif planned_seconds > card.numbers.short_seconds:
        yield Notice(code="no-short-day", message=texts.no_short_day)
    if not walk.day.stays:
        yield Notice(code="nothing-fits", message=texts.nothing_fits)
    elif walk.floor_mode != "usual":
        is_chunk = walk.floor_mode == "chunk"
        yield Notice(code="floors-lowered", message=texts.floor_chunk if is_chunk else texts.floor_unit)
