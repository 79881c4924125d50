"""The order of a day: what the body wants first, what comes after all that strains (common practice, no source)."""

import pytest
from bagatelle.model.plan import Plan

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

AT_REST: Sent = {"strain": "none", "loudness": "silent", "needs_instrument": False}
WARM_UP: Sent = {"area": "warm-up", "minutes": 5}


def order(
    *tasks: Sent, instrument: str | None = None, minutes: int = 40, **fields: object
) -> list[str | None]:
    sent = request(*tasks, circumstances={"minutes": minutes}, **fields)
    if instrument is not None:
        sent["instrument"] = instrument
    return [step.task for step in plan_of(sent).steps]


def test_silent_work_at_rest_comes_after_what_strains() -> None:
    read = own_task("read", 120, area="theory", **AT_REST)
    aria = own_task("aria", 120, strain="moderate")
    assert order(read, aria, own_task("straw", 60, **WARM_UP)) == ["straw", "aria", "read"]


def test_a_warm_down_follows_what_strains() -> None:
    down = own_task("down", 60, area="warm-down", minutes=5, pin="always")
    read = own_task("read", 120, area="theory", **AT_REST)
    aria = own_task("aria", 120, strain="high")
    found = order(down, read, aria, own_task("straw", 60, **WARM_UP))
    assert found == ["straw", "aria", "down", "read"]


def test_in_the_head_a_warm_down_opens_no_day() -> None:
    down = own_task("down", 60, area="warm-down", minutes=5, pin="always")
    sore: Sent = {"sore": ["lip"], "minutes": 12}
    sent = request(down, own_task("waltz", 120), instrument="horn", circumstances=sore)
    assert [step.task for step in plan_of(sent).steps] == ["waltz", "down"]


def test_a_silent_warm_up_comes_first_and_prepares_nothing() -> None:
    breaths = own_task("breaths", 60, **WARM_UP, **AT_REST)
    plan = plan_of(request(own_task("aria", 120, strain="moderate"), breaths, circumstances={"minutes": 12}))
    assert not any(task.prepares for task in plan.tasks)
    assert "Nothing here warms you up: begin slowly and softly." in plan.cautions
    pinned = breaths | {"pin": "always"}
    assert order(own_task("aria", 120, strain="moderate"), pinned, minutes=12) == ["breaths", "aria"]


@pytest.mark.parametrize("instrument", ["voice", "trumpet"])
def test_lips_and_voices_want_technique_before_pieces_and_loud_last(instrument: str) -> None:
    tasks = (
        own_task("call", 120, loudness="loud", due="2027-03-05"),
        own_task("song", 120, due="2027-03-05"),
        own_task("scales", 120, area="technique"),
    )
    assert order(*tasks, instrument=instrument, date="2027-03-01") == ["scales", "song", "call"]
    assert order(*tasks, date="2027-03-01") == ["call", "song", "scales"]


def test_technique_that_strains_wants_fresh_hands() -> None:
    tasks = (
        own_task("rondo", 120, strain="moderate", due="2027-03-05"),
        own_task("trills", 120, area="technique", strain="moderate"),
        own_task("easy", 60, **WARM_UP),
    )
    assert order(*tasks, date="2027-03-01") == ["easy", "trills", "rondo"]


OCTAVES = own_task("octaves", 120, area="technique", strain="high", minutes=30)
WALTZ = own_task("waltz", 120, minutes=30)


def left(plan: Plan) -> dict[str, str]:
    return {one.task: one.reasons[0].because for one in plan.left_out}


@pytest.mark.parametrize(
    ("minutes", "fields", "kept"),
    [
        (20, {}, False),  # a third of an hour's routine
        (21, {}, True),
        (20, {"pin": "more"}, True),
        (20, {"pin": "always"}, True),
        (20, {"due": "2027-03-05"}, True),
        (20, {"area": "repertoire"}, True),
        (20, {"strain": "moderate"}, True),
    ],
)
def test_technique_of_high_strain_wants_a_longer_day(minutes: int, fields: Sent, kept: bool) -> None:
    sent = request(OCTAVES | fields, WALTZ, date="2027-03-01", circumstances={"minutes": minutes})
    plan = plan_of(sent)
    assert ("octaves" in {step.task for step in plan.steps}) == kept
    because = "hard on the body: for a day with time to warm up to it and to rest after it"
    assert kept or left(plan) == {"octaves": because}


def test_improvising_wants_focus() -> None:
    ground = own_task("ground", 120, area="improvisation")
    for fields, kept in (({}, False), ({"pin": "more"}, True), ({"due": "2027-03-05"}, True)):
        low: Sent = {"minutes": 20, "focus": "low"}
        plan = plan_of(request(ground | fields, WALTZ, date="2027-03-01", circumstances=low))
        assert ("ground" in {step.task for step in plan.steps}) == kept
        assert kept or left(plan) == {"ground": "improvising wants ideas, and there is little focus today"}
    alone = plan_of(request(ground, own_task("never", 60, pin="never"), circumstances={"focus": "low"}))
    assert {step.task for step in alone.steps} == {"ground"}


def test_it_is_planned_where_nothing_else_is_more_than_a_warm_up() -> None:
    assert order(OCTAVES, own_task("easy", 60, **WARM_UP), minutes=10) == ["easy", "octaves"]
