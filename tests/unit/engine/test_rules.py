"""What is said of each rule, and the cautions that go with it."""

from bagatelle.model.plan import Plan, RuleReport

from tests.strategies import plan_of
from tests.unit.engine.numbers import own_task, request


def report(plan: Plan, rule: str) -> RuleReport:
    return next(each for each in plan.rules if each.rule == rule)


def test_strain_that_nothing_prepares_is_said() -> None:
    plan = plan_of(request(own_task("octaves", 60, area="technique", strain="high")))
    assert not report(plan, "warm-up-before-strain").kept
    assert "Nothing here warms you up: begin slowly and softly." in plan.cautions
    assert plan.steps[0].cautions


def test_the_own_warm_up_comes_first() -> None:
    octaves = own_task("octaves", 60, area="technique", strain="high")
    warm_up = own_task("easy", 60, area="warm-up", strain="low", minutes=5, smallest_chunk_seconds=120)
    plan = plan_of(request(octaves, warm_up, circumstances={"minutes": 10}))
    assert [step.task for step in plan.steps] == ["easy", "octaves"]
    assert report(plan, "warm-up-before-strain").kept


def test_the_catalogue_stands_in_where_the_routine_has_no_warm_up() -> None:
    octaves = own_task("octaves", 60, area="technique", strain="high", minutes=40)
    plan = plan_of(request(octaves, instrument="piano"))
    assert [step.task for step in plan.steps] == ["_warm-up", "octaves"]
    assert plan.steps[0].stands_in_for == "warm-up"
    assert plan.steps[0].seconds == 120
    assert report(plan, "warm-up-before-strain").kept
    # It is no task of the routine: its two minutes are not counted in the usual time.
    assert plan.usual_seconds == 40 * 60


def test_music_that_no_window_holds_is_said() -> None:
    pinned = own_task("scales", 400, area="technique", pin="always")
    piece = own_task("waltz", 400)
    plan = plan_of(request(pinned, piece, circumstances={"minutes": 10}))
    assert {step.task for step in plan.steps} == {"scales"}
    assert not report(plan, "music-in-hand").kept


def test_more_pins_than_the_limit_are_kept_and_said() -> None:
    pins = (own_task(name, 60, pin="always", smallest_chunk_seconds=60) for name in "abc")
    plan = plan_of(request(*pins, circumstances={"minutes": 10}))
    assert {step.task for step in plan.steps} == {"a", "b", "c"}
    rule = report(plan, "task-count")
    assert (rule.kept, rule.limit) == (False, 3)
