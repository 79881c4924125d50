"""Open questions, where they point, and what is proposed."""

from bagatelle import check_specificity

from tests.strategies import Sent, instruments, request_of
from tests.unit.engine.numbers import own_task, request


def asked(sent: Sent) -> list[tuple[str, str]]:
    answer = check_specificity(request_of(sent), instruments())
    assert answer.specific == (not answer.findings)
    return [(finding.question, finding.pointer) for finding in answer.findings]


def test_nothing_open() -> None:
    assert asked(request(own_task("waltz", 60))) == []


def test_a_catalogue_exercise_leaves_nothing_open() -> None:
    assert asked(request({"exercise": "piano.major-scale", "minutes": 10}, instrument="piano")) == []


def test_a_bare_title_leaves_four_questions_and_its_area_open() -> None:
    task = "/routine/blocks/0/tasks/0"
    assert asked(request({"title": "Waltz", "minutes": 10})) == [
        ("which", f"{task}/passages"),
        ("how-much", f"{task}/passages"),
        ("how", f"{task}/manner"),
        ("finished-when", f"{task}/done_when"),
        ("area", "/routine/blocks/0/area"),
    ]


def test_passes_not_said_is_how_much() -> None:
    sent = own_task("waltz", 60, 70)
    del sent["passages"][1]["passes"]
    assert asked(request(sent)) == [("how-much", "/routine/blocks/0/tasks/0/passages/1/passes")]


def test_a_block_that_disagrees_with_its_tasks() -> None:
    sent = request(own_task("waltz", 60, minutes=10), own_task("march", 60, minutes=5))
    sent["routine"]["blocks"][0]["minutes"] = 20
    (finding,) = check_specificity(request_of(sent), instruments()).findings
    assert (finding.question, finding.pointer) == ("minutes", "/routine/blocks/0/minutes")
    assert finding.proposal[0].value == 15


def test_a_block_without_tasks_is_proposed_a_whole_task() -> None:
    findings = check_specificity(
        request_of({"routine": {"blocks": [{"title": "Sonatina", "area": "repertoire", "minutes": 20}]}}),
        instruments(),
    ).findings
    assert {finding.pointer for finding in findings} == {"/routine/blocks/0/tasks"}
    (task,) = findings[0].proposal[0].value
    assert task["title"] == "Sonatina"
    assert task["minutes"] == 20
    assert task.keys() >= {"passages", "manner", "done_when"}
