"""In which manner a task of the learner's own is done where the learner does not say."""

import pytest

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import request

MARCH: Sent = {"id": "p1", "label": "the trio", "bars": 16, "passes": 2}
AT_ITS_TEMPO = "as written, at the tempo given"


def how(instrument: str | None, *passages: Sent, **fields: object) -> str:
    task = {"title": "March", "area": "repertoire", "minutes": 10, "passages": list(passages)}
    sent = request(task, instrument=instrument, circumstances={"minutes": 8} | fields)
    (step,) = [step for step in plan_of(sent).steps if step.task == "march"]
    return step.how


@pytest.mark.parametrize("instrument", ["piano", "guitar", "trumpet", "voice", None])
def test_no_other_tempo_is_proposed_beside_the_learners_own(instrument: str | None) -> None:
    assert how(instrument, MARCH | {"bpm": 132}) == AT_ITS_TEMPO
    assert how(instrument, MARCH | {"bpm": 132, "beat": "crotchet"}) == AT_ITS_TEMPO


def test_without_a_tempo_the_proposal_stands() -> None:
    assert how("piano", {"id": "p1", "label": "the trio", "seconds": 60, "passes": 2}) != AT_ITS_TEMPO


def test_what_is_done_with_a_pencil_is_no_other_thing_where_walls_are_thin() -> None:
    task = {"title": "Intervals", "area": "theory", "minutes": 10}
    loud, quiet = (
        plan_of(request(task, instrument="violin", circumstances={"minutes": 5, "quiet": each})).steps
        for each in (False, True)
    )
    assert [(step.what, step.how) for step in quiet] == [(step.what, step.how) for step in loud]
