"""A plugin that fails for one task: the plan stands without it and says so; what else is asked goes as decided."""

from collections.abc import Callable, Mapping
from typing import Any

import msgspec
import pytest
from bagatelle import (
    Instruments,
    check_specificity,
    compress,
    decode_forecast_request,
    forecast,
    load_instruments,
    prepare_all,
)
from bagatelle.catalogue.guard import HookCall
from bagatelle.catalogue.loading import installed_plugins
from bagatelle.contract import Material
from bagatelle.model.errors import FailureKind, InvalidInputError, PluginError
from bagatelle.model.plan import Plan
from bagatelle.page import page_of
from bagatelle.verify.verification import verify_answer
from msgspec import UNSET
from msgspec.structs import replace

from tests.strategies import Sent, request_of
from tests.unit.catalogue.sample_plugins import SamplePlugin, hum, point
from tests.unit.engine.numbers import own_task, request

FAILING: Sent = {
    "id": "buzz",
    "exercise": "kazoo.hum",
    "settings": {"bpm": 72},
    "minutes": 8,
    "pin": "always",
}
SCALE: Sent = {"id": "scale", "exercise": "piano.major-scale", "settings": {"keys": ["D"]}, "minutes": 10}
PIECE = own_task("waltz", 60, 90)


class Broken(BaseException):
    """Of no kind that is usually caught."""


def raises(error: BaseException) -> Callable[[], Any]:
    def fail() -> Any:
        raise error

    return fail


def kazoo_failing(fail: Callable[[], Any]) -> Instruments:
    """Those installed, and a kazoo that fails where it is asked for 72 beats a minute."""

    def material(settings: Mapping[str, Any]) -> Any:
        return fail() if settings["bpm"] == 72 else hum(settings)

    return load_instruments(entry_points=[*installed_plugins(), point(SamplePlugin(material=material))])


def planned(sent: Sent, instruments: Instruments) -> Plan:
    answer = compress(request_of(sent), instruments)
    report = verify_answer(answer)
    assert report.accepted, report
    return answer.plan


FAILURES: list[tuple[Callable[[], Any], FailureKind]] = [
    (raises(RuntimeError("broken")), "raised"),
    (raises(SystemExit(3)), "raised"),
    (raises(Broken()), "raised"),
    (raises(RecursionError()), "raised"),
    (lambda: None, "wrong-answer"),
    (lambda: Material(units=(), parameters={}), "wrong-answer"),
    (lambda: replace(hum({"notes": ["C"], "bpm": 72}), parameters={}), "wrong-answer"),
]


@pytest.mark.parametrize(("fail", "failure"), FAILURES)
def test_the_plan_stands_and_names_the_plugin(fail: Callable[[], Any], failure: FailureKind) -> None:
    plan = planned(request(FAILING, SCALE, PIECE), kazoo_failing(fail))
    assert {step.task for step in plan.steps if step.task} == {"scale", "waltz"}
    assert plan.usual_seconds == 38 * 60
    assert "buzz" not in {task.task for task in plan.tasks}
    (left,) = [left for left in plan.left_out if left.task == "buzz"]
    assert plan.plugin_problems is not UNSET
    (problem,) = plan.plugin_problems
    assert (problem.task, problem.pointer) == ("buzz", "/routine/blocks/0/tasks/0")
    assert (problem.plugin, problem.hook, problem.exercise) == ("kazoo", "bagatelle_material", "kazoo.hum")
    assert (problem.failure, problem.usual_seconds, problem.title) == (failure, 480, "Humming")
    assert [reason.factor for reason in left.reasons] == ["plugin"]
    assert left.reasons[0].because in problem.message
    assert "plugin kazoo" in problem.message


def test_what_is_left_is_planned_as_if_the_rest_were_all_that_may_be_played() -> None:
    """The same doses as where the learner never wants the task: it counts in the usual time alone."""
    healthy = kazoo_failing(lambda: hum({"notes": ["C"], "bpm": 72}))
    never = planned(request({**FAILING, "pin": "never"}, SCALE, PIECE), healthy)
    failed = planned(request(FAILING, SCALE, PIECE), kazoo_failing(raises(RuntimeError())))
    assert failed.steps == never.steps
    assert failed.budget_seconds == never.budget_seconds


def test_a_plan_without_a_task_is_another_plan() -> None:
    sent = request(FAILING, SCALE, PIECE)
    well = planned(sent, kazoo_failing(lambda: hum({"notes": ["C"], "bpm": 72})))
    ill = planned(sent, kazoo_failing(raises(RuntimeError())))
    assert well.made_with == ill.made_with
    assert well.fingerprint != ill.fingerprint
    assert well.plugin_problems is UNSET
    assert b"plugin_problems" not in msgspec.json.encode(well)


def test_nothing_of_what_was_raised_gets_into_the_answer() -> None:
    plan = planned(request(FAILING, SCALE, PIECE), kazoo_failing(raises(RuntimeError("/etc/coils"))))
    assert b"coils" not in msgspec.json.encode(plan)


def test_the_page_says_it_too() -> None:
    page = page_of(planned(request(FAILING, SCALE, PIECE), kazoo_failing(raises(RuntimeError()))))
    assert "Humming: its plugin failed" in page
    assert "(plugin kazoo, bagatelle_material for kazoo.hum)" in " ".join(page.split())


def test_where_nothing_else_is_left_it_is_an_error_as_it_is() -> None:
    instruments = kazoo_failing(raises(RuntimeError("broken")))
    for others in ([], [{**PIECE, "pin": "never"}]):
        with pytest.raises(PluginError, match="raised RuntimeError: broken"):
            compress(request_of(request(FAILING, *others)), instruments)


def test_what_is_wrong_in_the_request_is_said_first() -> None:
    sent = request(FAILING, {**SCALE, "settings": {"keys": ["H"]}}, PIECE)
    with pytest.raises(InvalidInputError):
        compress(request_of(sent), kazoo_failing(raises(RuntimeError())))


def test_settings_that_do_not_go_together_are_still_the_senders_fault() -> None:
    instruments = kazoo_failing(raises(ValueError("no more than 71 beats")))
    with pytest.raises(InvalidInputError) as caught:
        compress(request_of(request(FAILING, SCALE, PIECE)), instruments)
    assert [error.message for error in caught.value.errors] == ["no more than 71 beats"]


def test_what_is_asked_of_the_other_tasks_stands() -> None:
    vague: Sent = {"id": "vague", "title": "Waltz", "area": "repertoire", "minutes": 10}
    answer = check_specificity(
        request_of(request(FAILING, vague)), kazoo_failing(raises(RuntimeError("broken")))
    )
    assert {finding.task for finding in answer.findings} == {"vague"}
    assert answer.plugin_problems is not UNSET
    assert [problem.task for problem in answer.plugin_problems] == ["buzz"]


def test_a_history_of_a_failed_task_is_no_unknown_one() -> None:
    sent = request(FAILING, SCALE, PIECE, date="2027-03-01", history=[{"date": "2027-02-20", "task": "buzz"}])
    assert planned(sent, kazoo_failing(raises(RuntimeError()))).warnings == ()


def test_cards_are_not_made_without_a_task() -> None:
    with pytest.raises(PluginError, match="broken"):
        prepare_all(request_of(request(FAILING, SCALE, PIECE)), kazoo_failing(raises(RuntimeError("broken"))))


def test_forecasts_are_not_made_without_a_task() -> None:
    sent = {
        "routine": request(FAILING, SCALE, PIECE)["routine"],
        "date": "2027-03-01",
        "days": 3,
        "known_days": [{"date": "2027-03-01", "kind": "short"}],
    }
    with pytest.raises(PluginError, match="broken"):
        forecast(
            decode_forecast_request(msgspec.json.encode(sent)), kazoo_failing(raises(RuntimeError("broken")))
        )


def test_what_the_defaults_make_is_known_from_the_load() -> None:
    """A plugin that has failed altogether since still has its exercises planned with their defaults."""
    state = {"loading": True}

    def material(settings: Mapping[str, Any]) -> Material:
        if not state["loading"]:
            raise RuntimeError
        return hum(settings)

    instruments = load_instruments(entry_points=[point(SamplePlugin(material=material))])
    state["loading"] = False
    plan = planned(request({**FAILING, "settings": {}}), instruments)
    assert plan.plugin_problems is UNSET


def test_a_guard_is_asked_first_and_for_each_call_once() -> None:
    asked: list[HookCall] = []

    def guard(call: HookCall, ask: Callable[[], Material]) -> Material:
        asked.append(call)
        if len(asked) == 1:
            raise PluginError(call.plugin, call.hook, call.exercise, "not asked", "quarantined")
        return ask()

    instruments = load_instruments(entry_points=[point(SamplePlugin())]).guarded_by(guard)
    sent = request(FAILING, PIECE)
    problems = planned(sent, instruments).plugin_problems
    assert problems is not UNSET
    assert [problem.failure for problem in problems] == ["quarantined"]
    for _ in range(2):
        assert planned(sent, instruments).plugin_problems is UNSET
    assert len(asked) == 2
    assert asked[0] == HookCall(plugin="kazoo", hook="bagatelle_material", exercise="kazoo.hum")
