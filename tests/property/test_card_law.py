"""Cards of generated routines: what the walk of a sheet comes to beside the engine's own."""

import datetime as dt
from collections import defaultdict

import msgspec
from bagatelle import Card, MadeFrom, compress, make_sheet, prepare, prepare_all
from bagatelle.card.kinds import CIRCUMSTANCES, KINDS
from bagatelle.engine.budget import slack_of_day
from bagatelle.engine.ladder import LadderWalker, prepared_plans, rungs_of
from bagatelle.engine.one_window import WindowSolver
from bagatelle.engine.planned_day import settle_day
from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from bagatelle.model.request import CompressionRequest
from bagatelle.model.sheet import Ask, DaySheet
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.card_strategies import ask_of_seconds
from tests.strategies import DAY, Sent, instruments, request_of, requests

NOTHING = (NothingAllowedError, NothingFitsError, NoShortDayFitsError)


def usual_card(request: CompressionRequest) -> Card:
    try:
        return prepare(request, instruments(), "usual")
    except NOTHING:
        reject()


def sheet_of(card: Card, ask: Ask) -> DaySheet:
    return make_sheet(card, MadeFrom(card="c1", date=dt.date.fromisoformat(DAY), asks=(ask,)))


def played_seconds(sheet: DaySheet) -> dict[str, int]:
    played: dict[str, int] = defaultdict(int)
    for step in sheet.steps:
        if step.task is not None:
            played[step.task] += step.seconds
    return dict(played)


@settings(max_examples=5)
@given(requests(most_tasks=5))
def test_a_card_reads_neither_the_day_nor_the_history(sent: Sent) -> None:
    """And comes out the same again, alone or with the others, and through JSON."""
    request = request_of(sent)
    cards = prepare_all(request, instruments())
    bare = replace(request, circumstances=CIRCUMSTANCES["usual"], history=())
    assert prepare_all(bare, instruments()) == cards
    assert {card.kind for card in cards.cards} | set(cards.empty_kinds) == set(KINDS)
    for card in cards.cards:
        assert msgspec.json.decode(msgspec.json.encode(card), type=Card) == card
        assert prepare(request, instruments(), card.kind) == card


@settings(max_examples=20)
@given(requests(most_tasks=6), st.integers(3, 90))
def test_one_window_holds_what_the_ladder_of_the_engine_gives_it(sent: Sent, minutes: int) -> None:
    """Where nothing was logged, and the day is short: in more time music goes before. More only where the engine's
    ladder ends with a number of rounds that a long day goes past, and only of such a task."""
    request = replace(request_of(sent), circumstances=CIRCUMSTANCES["usual"], history=())
    card = usual_card(request)
    day = settle_day(request, instruments(), instruments().wording.speaker(request.locale))
    solver = WindowSolver(replace(day.routine, slack=slack_of_day(request.circumstances, day.policy)))
    usual_seconds = day.budget.usual_seconds
    prepared = prepared_plans(solver, usual_seconds)
    if not prepared[0].budget_seconds <= 60 * minutes <= card.numbers.short_seconds:
        reject()
    walk = LadderWalker(solver, prepared, rungs_of(solver, usual_seconds, prepared)).walk(60 * minutes)
    played = played_seconds(sheet_of(card, ask_of_seconds(60 * minutes)))
    counted = {task.id for task in day.of_the_kind if task.rounds_held_from is not None}
    more = {task for task, seconds in played.items() if seconds != walk.seconds.get(task, 0)}
    assert more <= counted
    assert all(played[task] > walk.seconds.get(task, 0) for task in more)
    assert set(walk.seconds) <= set(played)


@settings(max_examples=15)
@given(requests(most_tasks=6))
def test_a_day_that_gives_no_time_holds_the_plan_of_the_quarter(sent: Sent) -> None:
    """That of `compress`, but for what a longer search may find."""
    request = replace(request_of(sent), circumstances=CIRCUMSTANCES["usual"], history=())
    card = usual_card(request)
    try:
        plan = compress(request, instruments()).plan
    except NOTHING:
        assert card.quarter.lifts == ()
        return
    if not plan.certificate.proved or plan.certificate.search_steps > 1_000:
        reject()
    doses = {lift.task: lift.seconds for lift in card.quarter.lifts}
    planned: dict[str, int] = defaultdict(int)
    for step in plan.steps:
        if step.task is not None:
            planned[step.task] += step.seconds
    assert doses == planned
    played = played_seconds(sheet_of(card, Ask()))
    assert all(played[task] >= seconds for task, seconds in doses.items())


@settings(max_examples=6)
@given(requests(most_tasks=5), st.lists(st.integers(2, 40), min_size=1, max_size=5))
def test_a_sheet_says_all_that_a_person_needs(sent: Sent, minutes: list[int]) -> None:
    """Every step of every kind says what, how, how much and finished when."""
    for card in prepare_all(request_of(sent), instruments()).cards:
        sheet = sheet_of(card, ask_of_seconds(*(60 * each for each in minutes)))
        assert sheet.steps or [notice.code for notice in sheet.notices][-1] == "nothing-fits"
        for step in sheet.steps:
            assert step.what
            assert step.how
            assert step.done_when
            assert step.how_much or (step.units and all(unit.how_much for unit in step.units))
            assert all(unit.what for unit in step.units)
            for unit in step.units:
                units = next(task.units for task in card.tasks if task.id == step.task)
                of_card = next(each for each in units if each.id == unit.unit)
                assert not of_card.how_much or unit.times <= len(of_card.how_much)
        assert all(sheet.cautions)
        assert all(notice.message for notice in sheet.notices)


@settings(max_examples=8)
@given(requests(most_tasks=5))
def test_nothing_that_strains_is_prepared_for_a_sore_day(sent: Sent) -> None:
    for card in prepare_all(request_of(sent), instruments(), ("resting",)).cards:
        assert card.cautions
        assert {task.strain for task in card.tasks} == {"none"}


@settings(max_examples=10)
@given(requests(most_tasks=6))
def test_a_day_of_little_energy_holds_no_more_than_a_short_one(sent: Sent) -> None:
    try:
        card = prepare(request_of(sent), instruments(), "low-energy")
    except NOTHING:
        reject()
    sheet = sheet_of(card, ask_of_seconds(4 * card.quarter_seconds))
    assert sheet.planned_seconds <= card.quarter_seconds <= 15 * 60
    begun = {step.task for step in sheet.steps if step.task is not None}
    preparing = {task.id for task in card.tasks if task.prepares}
    assert len(begun) <= 3
    assert len(begun - preparing) <= 2
    assert "little-energy" in {notice.code for notice in sheet.notices}
