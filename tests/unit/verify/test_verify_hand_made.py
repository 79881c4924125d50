"""The verifier against an answer made by hand, and its figures against worked examples."""

import msgspec
import pytest
from bagatelle.model.plan import Certificate, CompressionAnswer, LeftOut
from bagatelle.verify import verify_answer
from bagatelle.verify.figures import Task, playing_capacity

from tests.unit.verify.hand_made import MINUET, MINUET_540, POLICY, SCALES, WORTH, ten_minutes


def test_an_answer_made_by_hand_is_accepted() -> None:
    verdict = verify_answer(ten_minutes(), thorough=True)
    assert verdict.faults == ()
    assert verdict.not_checked == ()
    assert verdict.accepted


def test_a_worse_plan_called_proved_is_refused() -> None:
    """The minuet alone is legal and its worth is right; the proof is not."""
    plan = ten_minutes().plan
    worse = msgspec.structs.replace(
        plan,
        steps=(msgspec.structs.replace(plan.steps[1], units=("first", "second") * 3, seconds=540),),
        left_out=(LeftOut(task="scales", reasons=()),),
        certificate=Certificate(worth=MINUET_540, bound=MINUET_540, gap=0.0, proved=True, search_steps=7),
        alternatives=(),
    )
    verdict = verify_answer(CompressionAnswer(plan=msgspec.structs.replace(worse, planned_seconds=570)))
    # The better plan is another set of tasks too, so that "no toss-up" is as wrong.
    assert {fault.code for fault in verdict.faults} == {"certificate.optimum", "alternatives.toss-up"}


@pytest.mark.parametrize(
    ("window_seconds", "playing_seconds"),
    [
        (600, 600),
        (1800, 1800),
        (1801, 1800),  # a stretch of 25 minutes and a rest would hold less than a short window does
        (2100, 1800),
        (2101, 1801),
        (3300, 3000),  # 25 + 5 + 25
        (3600, 3000),  # one more second would need a second rest, which fits only from 3601 on
        (3601, 3001),
        (5100, 4500),  # 25 + 5 + 25 + 5 + 25
    ],
)
def test_what_a_window_holds_beside_its_rests(window_seconds: int, playing_seconds: int) -> None:
    assert playing_capacity(window_seconds) == playing_seconds
    # Five minutes after each 25 but the last, in what is longer than half an hour.
    rests = -(-playing_seconds // 1500) - 1 if playing_seconds > 1800 else 0
    assert playing_seconds + 300 * rests <= window_seconds


def test_floors_by_mode() -> None:
    scales = Task(SCALES, POLICY)
    assert scales.dose_seconds[scales.floor_units(600, "usual")] == 240
    assert scales.dose_seconds[scales.floor_units(600, "chunk")] == 120
    assert scales.dose_seconds[scales.floor_units(600, "unit")] == 60
    # Half of its own twenty minutes, once the budget is longer than that: 600 - 30, nine keys.
    assert scales.dose_seconds[scales.floor_units(3600, "usual")] == 540
    minuet = Task(MINUET, POLICY)
    assert minuet.dose_seconds[minuet.floor_units(60, "usual")] == 90


def test_worth_by_calculator() -> None:
    # exp(-0.4) = 0.670320046, exp(-0.45) = 0.637628152, exp(-2) = 0.135335283
    scales = round(1000 * 0.95 * 1200 * (1 - 0.670320046) / (1 - 0.135335283))
    minuet = round(1000 * 1200 * (1 - 0.637628152) / (1 - 0.135335283))
    assert Task(SCALES, POLICY).worth(240) == scales
    assert Task(MINUET, POLICY).worth(270) == minuet
    assert scales + minuet == WORTH
