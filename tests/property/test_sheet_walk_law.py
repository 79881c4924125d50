"""What holds of the sheet of any card and any day, whatever the card came from."""

import datetime as dt
import math
from collections import defaultdict
from itertools import accumulate, cycle, takewhile

import msgspec
from bagatelle import make_sheet, only_needed
from bagatelle.model.card import Card, CardTask
from bagatelle.model.sheet import DaySheet, MadeFrom, SheetStep
from bagatelle.model.vocabulary import STRAINS
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.card_strategies import DAY, ask_of_seconds, days_of_cards, uniform_cards

Visits = dict[tuple[str, int], list[SheetStep]]


def visits_of(sheet: DaySheet) -> Visits:
    """The steps of each visit, by task and window."""
    visits: Visits = defaultdict(list)
    for step in sheet.steps:
        if step.task is not None:
            visits[step.task, step.window].append(step)
    return visits


def units_of(steps: list[SheetStep]) -> int:
    return sum(unit.times for step in steps for unit in step.units)


@given(days_of_cards(asks=3))
def test_steps_and_rests_fit_their_windows(drawn: tuple[Card, MadeFrom]) -> None:
    card, made_from = drawn
    sheet = make_sheet(card, made_from)
    for number, window in enumerate(sheet.windows):
        inside = [step for step in sheet.steps if step.window == number]
        used = sum(step.seconds + step.set_up_seconds for step in inside)
        assert used <= window.seconds
        # What was planned before for a day without a given time may reach into what now stays free.
        if made_from.asks[0].windows:
            assert used <= window.seconds - window.slack_seconds
    planned = sum(step.seconds + step.set_up_seconds for step in sheet.steps if step.kind == "task")
    assert planned == sheet.planned_seconds
    if card.numbers.most_seconds is not None:
        assert planned <= card.numbers.most_seconds


@given(days_of_cards())
def test_each_visit_pays_its_set_up_and_is_useful(drawn: tuple[Card, MadeFrom]) -> None:
    card, made_from = drawn
    sheet = make_sheet(card, made_from)
    tasks = {task.id: task for task in card.tasks}
    is_lowered = any(notice.message == card.texts.floor_unit for notice in sheet.notices)
    for (name, number), steps in visits_of(sheet).items():
        task = tasks[name]
        assert [step.set_up_seconds for step in steps] == [task.set_up_seconds, *(0,) * (len(steps) - 1)]
        if not is_lowered:
            doses = doses_today(task, made_from)
            least = least_visit(task, doses, playing_seconds(sheet, number))
            if task.prepares and len(sheet.windows) > 1:
                least = min(least, least_readying(task, doses))
            assert sum(step.seconds for step in steps) >= least


def playing_seconds(sheet: DaySheet, number: int) -> int:
    window = sheet.windows[number]
    return window.seconds - window.slack_seconds - window.rest_seconds


def doses_today(task: CardTask, made_from: MadeFrom) -> list[int]:
    """Seconds of whole units of today's order, up to the most that a day may hold; one at least."""
    done = made_from.last_done.get(task.id, {})
    ordered = sorted(
        task.units,
        key=lambda unit: day if (day := done.get(unit.id, dt.date.min)) < made_from.date else dt.date.min,
    )
    lengths = accumulate(unit.seconds for unit in cycle(ordered))
    first = next(lengths)
    return [first, *takewhile(lambda seconds: seconds <= task.largest_seconds, lengths)]


def least_visit(task: CardTask, doses: list[int], window_seconds: int) -> int:
    """The smallest useful piece; half of it where its window cannot hold that, with its set-up."""
    least = min(task.chunk_seconds, doses[-1])
    useful = next((seconds for seconds in doses if seconds >= least), doses[-1])
    return least if task.set_up_seconds + useful <= window_seconds else math.ceil(least / 2)


def least_readying(task: CardTask, doses: list[int]) -> int:
    """Half a useful piece of what prepares readies for what strains in another window."""
    return math.ceil(min(task.chunk_seconds, doses[-1]) / 2)


@given(days_of_cards(asks=3))
def test_no_task_gets_more_than_a_day_may_hold_of_it(drawn: tuple[Card, MadeFrom]) -> None:
    card, made_from = drawn
    played: dict[str, int] = defaultdict(int)
    for step in make_sheet(card, made_from).steps:
        if step.task is not None:
            played[step.task] += step.seconds
    for task in card.tasks:
        longest_unit = max(unit.seconds for unit in task.units)
        assert played[task.id] <= max(task.largest_seconds, longest_unit)


@given(days_of_cards(asks=3))
def test_the_body_is_ready_for_each_step(drawn: tuple[Card, MadeFrom]) -> None:
    """Each window in the order of the card; nothing that strains before what prepares, where anything does."""
    card, made_from = drawn
    sheet = make_sheet(card, made_from)
    places = {task.id: place for place, task in enumerate(card.tasks)}
    tasks = {task.id: task for task in card.tasks}
    for number in range(len(sheet.windows)):
        inside = [
            places[step.task] for step in sheet.steps if step.window == number and step.task is not None
        ]
        assert inside == sorted(inside)
    if not any(task.prepares for task in card.tasks):
        return
    prepared = False
    for step in sheet.steps:
        if step.task is not None:
            prepared = prepared or tasks[step.task].prepares
            assert prepared or not tasks[step.task].strains


@given(days_of_cards())
def test_each_caution_is_said_before_or_at_what_needs_it_and_again_where_more_strains(
    drawn: tuple[Card, MadeFrom],
) -> None:
    """In each window; what the whole day needs is said of the day or at a step."""
    card, made_from = drawn
    sheet = make_sheet(card, made_from)
    tasks = {task.id: task for task in card.tasks}
    warm: set[int] = set()
    said: dict[int, dict[str, int]] = defaultdict(dict)
    of_steps = {text for step in sheet.steps for text in step.cautions}
    for step in sheet.steps:
        if step.task is None:
            continue
        task = tasks[step.task]
        of_window, rank = said[step.window], STRAINS.index(task.strain)
        assert len(set(step.cautions)) == len(step.cautions)
        assert all(of_window.get(text, -1) < rank for text in step.cautions)
        of_window.update(dict.fromkeys(step.cautions, rank))
        assert all(text in card.cautions or of_window[text] >= rank for text in task.cautions)
        assert not task.day_caution or (task.day_caution in sheet.cautions) != (task.day_caution in of_steps)
        is_cold = step.window not in warm and task.strains
        assert not is_cold or card.texts.cold_caution in said[step.window]
        if task.warms:
            warm.add(step.window)
    assert len(set(sheet.cautions)) == len(sheet.cautions)


@given(days_of_cards(asks=3))
def test_a_stored_sheet_can_be_made_again_to_the_byte(drawn: tuple[Card, MadeFrom]) -> None:
    """From what was stored as JSON; in whatever order the last days were listed, and however often it is made."""
    card, made_from = drawn
    stored_card = msgspec.json.decode(msgspec.json.encode(card), type=Card)
    stored = msgspec.json.decode(msgspec.json.encode(made_from), type=MadeFrom)
    assert (stored_card, stored) == (card, made_from)
    backwards = {task: dict(reversed(units.items())) for task, units in reversed(made_from.last_done.items())}
    sheets = {
        msgspec.json.encode(make_sheet(*each))
        for each in (
            drawn,
            drawn,
            (stored_card, stored),
            (card, replace(made_from, last_done=backwards)),
        )
    }
    assert len(sheets) == 1


@given(days_of_cards(asks=4))
def test_more_time_keeps_what_stood_and_only_adds(drawn: tuple[Card, MadeFrom]) -> None:
    card, made_from = drawn
    before: Visits = {}
    named: set[str] = set()
    for count in range(1, len(made_from.asks) + 1):
        sheet = make_sheet(card, replace(made_from, asks=made_from.asks[:count]))
        visits = visits_of(sheet)
        for key, steps in before.items():
            assert units_of(visits[key]) >= units_of(steps)
            assert visits[key][0].id == steps[0].id
        of_visits = {steps[0].id for steps in visits.values()}
        assert named <= of_visits
        assert len({step.id for step in sheet.steps}) == len(sheet.steps)
        before, named = visits, of_visits


@given(days_of_cards(asks=2))
def test_what_is_not_before_the_day_is_not_looked_at(drawn: tuple[Card, MadeFrom]) -> None:
    card, made_from = drawn
    late: dict[str, dict[str, dt.date]] = {
        "gone": {"u0": made_from.date - dt.timedelta(days=1)},
    } | {
        task.id: {
            "gone": made_from.date - dt.timedelta(days=1),
            **{unit.id: made_from.date + dt.timedelta(days=1) for unit in task.units},
            **{
                unit: day
                for unit, day in made_from.last_done.get(task.id, {}).items()
                if day < made_from.date
            },
        }
        for task in card.tasks
    }
    later = replace(made_from, last_done=late)
    assert make_sheet(card, later) == make_sheet(card, made_from)
    needed = only_needed(card, later)
    assert needed == only_needed(card, made_from)
    assert make_sheet(card, needed) == make_sheet(card, made_from)


@given(uniform_cards(), st.lists(st.integers(60, 1500), min_size=1, max_size=3))
def test_units_come_back_in_time(card: Card, lengths: list[int]) -> None:
    """n units, m a day: every unit within ceil(n / m) days on which the task is kept."""
    kept: dict[str, list[set[str]]] = defaultdict(list)
    last: dict[str, dict[str, dt.date]] = defaultdict(dict)
    for number in range(10):
        day = DAY + dt.timedelta(days=number)
        sheet = make_sheet(
            card, MadeFrom(card="c1", date=day, asks=(ask_of_seconds(*lengths),), last_done=last)
        )
        done: dict[str, set[str]] = defaultdict(set)
        for step in sheet.steps:
            if step.task is not None:
                done[step.task] |= {unit.unit for unit in step.units}
        for name, units in done.items():
            kept[name].append(units)
            last[name] |= dict.fromkeys(units, day)
    for task in card.tasks:
        days = kept[task.id]
        if days:
            within = math.ceil(len(task.units) / min(map(len, days)))
            for start in range(len(days) - within + 1):
                assert set.union(*days[start : start + within]) == {unit.id for unit in task.units}
