"""What is due: it stands for the day's music, and on the day itself each passage has its turn once."""

import json
from collections import Counter
from typing import Any

import pytest
from bagatelle import compress, decode_request
from bagatelle.model.plan import Plan

from tests.strategies import instruments


def piece(name: str, **more: object) -> dict[str, Any]:
    passages = [{"id": f"p{number}", "label": f"line {number}", "seconds": 60} for number in range(3)]
    return {
        "id": name,
        "title": name,
        "area": "repertoire",
        "stage": "maintaining",
        "minutes": 20,
        "smallest_chunk_seconds": 60,
        "manner": "as marked",
        "done_when": "clean",
        "passages": passages,
        **more,
    }


def planned(*tasks: dict[str, Any], minutes: int = 10, **more: object) -> Plan:
    blocks = [{"id": "day", "title": "Day", "tasks": list(tasks)}]
    request = {"date": "2027-03-01", "routine": {"blocks": blocks}, "circumstances": {"minutes": minutes}}
    return compress(decode_request(json.dumps(request | more).encode()), instruments()).plan


def test_something_due_is_kept_though_it_is_still_being_learned() -> None:
    plan = planned(
        piece("in-hand"),
        piece("also-in-hand"),
        piece("solo", stage="learning", concreteness="open", due="2027-03-12"),
    )
    assert {task.task for task in plan.tasks if task.music} == {"solo"}
    assert "solo" in {step.task for step in plan.steps}


def test_what_is_due_later_gives_no_such_claim() -> None:
    plan = planned(piece("in-hand"), piece("solo", stage="learning", due="2027-06-01"))
    assert {task.task for task in plan.tasks if task.music} == {"in-hand"}


def test_on_the_day_each_passage_has_its_turn_once() -> None:
    plan = planned(piece("tonight", due="2027-03-01"), piece("other"), minutes=15)
    (tonight,) = [task for task in plan.tasks if task.task == "tonight"]
    assert tonight.largest_seconds == 180
    assert sum(step.seconds for step in plan.steps if step.task == "tonight") <= 180


def test_on_the_day_a_piece_that_names_no_passage_has_as_much_as_on_another() -> None:
    plan = planned(piece("tonight", due="2027-03-01", passages=[]), piece("other"))
    seconds = Counter[str | None]()
    for step in plan.steps:
        seconds[step.task] += step.seconds
    assert seconds["tonight"] >= seconds["other"]


def test_on_the_day_a_minute_of_a_piece_is_worth_it() -> None:
    tonight = piece("tonight", due="2027-03-01", passages=[], minutes=10)
    del tonight["smallest_chunk_seconds"]
    scales = piece("scales", area="technique", minutes=10)
    assert "tonight" in {step.task for step in planned(tonight, scales, minutes=5).steps}


def test_a_task_of_no_cadence_is_meant_for_each_day() -> None:
    history = [
        {"task": "waits", "date": "2027-02-25", "seconds": 600},
        {"task": "fresh", "date": "2027-02-28", "seconds": 600},
    ]
    plan = planned(piece("waits"), piece("fresh"), history=history)
    assert {task.task: task.factors.need for task in plan.tasks} == {"waits": 1.5, "fresh": 1.0}


@pytest.mark.parametrize("due", [None, "2027-03-01"])
def test_a_cap_holds_on_the_day_itself_too(due: str | None) -> None:
    keys = ["C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Db", "F#"]
    octaves = {
        "id": "octaves",
        "exercise": "piano.octaves",
        "area": "repertoire",
        "minutes": 60,
        "settings": {"keys": keys},
    }
    plan = planned(octaves | ({"due": due} if due else {}), instrument="piano")
    (task,) = [task for task in plan.tasks if task.task == "octaves"]
    assert sum(unit.seconds for unit in task.units) > 300
    assert task.largest_seconds == 300
