"""Need, circumstances, weight and worth, by hand."""

from typing import Literal

import pytest
from bagatelle.engine.doses import worth_of
from bagatelle.engine.worth import circumstances_factor, factors_of, is_near, need_factor, weight_of
from bagatelle.model.request import Circumstances
from bagatelle.model.vocabulary import Divisibility, Strain
from bagatelle.policy.table import Policy

from tests.unit.engine.numbers import item

POLICY = Policy()


@pytest.mark.parametrize(
    ("since", "cadence", "expected"),
    [
        (4, 4, 1.0),
        (6, 4, 1.224745),  # sqrt(1.5)
        (1, 8, 0.5),  # sqrt(clip(0.125, 0.25, 2.25))
        (30, 3, 1.5),  # sqrt(2.25)
        (None, 4, 1.0),
    ],
)
def test_recency(since: int | None, cadence: int, expected: float) -> None:
    assert need_factor(since, cadence, None, POLICY) == expected


@pytest.mark.parametrize(
    ("since", "due", "expected"),
    [
        (None, 14, 1.0),  # 2 - 11 / 11
        (None, 8, 1.545455),  # 2 - 5 / 11
        (None, 3, 2.0),
        (None, 0, 2.0),  # 2 + 3 / 11, held to 2
        (6, 8, 1.892788),  # 1.224745 * 1.545455
        (30, 3, 2.0),  # 1.5 * 2, held to 2
        (1, 14, 1.0),  # done yesterday, yet due: max(0.5, 1) * 1
        (1, 15, 0.5),  # not near: the date does not count
        (1, -1, 0.5),  # past: neither
    ],
)
def test_a_date(since: int | None, due: int, expected: float) -> None:
    assert need_factor(since, 4 if since != 1 else 8, due, POLICY) == expected


@pytest.mark.parametrize(
    ("since", "due", "expected"),
    [
        (30, None, 1.0),  # waited, but something else is due: held to 1
        (30, 15, 1.0),  # due later than soon
        (1, None, 0.5),
        (None, 8, 1.545455),  # due itself
    ],
)
def test_what_is_not_due_waits_for_what_is(since: int | None, due: int | None, expected: float) -> None:
    cadence = 8 if since == 1 else 3
    assert need_factor(since, cadence, due, POLICY, anything_due=True) == expected


def test_near() -> None:
    assert [days for days in range(-3, 20) if is_near(days, POLICY)] == list(range(15))
    assert not is_near(None, POLICY)


@pytest.mark.parametrize(
    ("energy", "focus", "strain", "divisibility", "other_form", "expected"),
    [
        ("usual", "usual", "high", "whole", False, 1.0),
        ("low", "usual", "moderate", "whole", False, 0.7),
        ("low", "usual", "low", "whole", False, 1.0),
        ("usual", "low", "low", "fine", False, 1.2),
        ("usual", "low", "low", "whole", False, 0.7),
        ("usual", "usual", "low", "fine", True, 0.5),
        ("low", "low", "moderate", "fine", True, 0.42),  # 0.7 * 1.2 * 0.5
    ],
)
def test_circumstances(
    energy: Literal["usual", "low"],
    focus: Literal["usual", "low"],
    strain: Strain,
    divisibility: Divisibility,
    other_form: bool,
    expected: float,
) -> None:
    factor = circumstances_factor(
        strain,
        divisibility,
        other_form=other_form,
        circumstances=Circumstances(energy=energy, focus=focus),
        policy=POLICY,
    )
    assert factor == expected


def test_weight_is_the_product() -> None:
    factors = factors_of(
        stage="learning", concreteness="guided", pin="more", need=1.224745, circumstances=0.7, policy=POLICY
    )
    # 0.70 * 0.85 * 1.224745 * 0.7 * 1.5 = 0.765159...
    assert weight_of(factors) == 0.765159


@pytest.mark.parametrize(
    ("weight", "usual", "played", "worth"),
    [
        (1.0, 1800, 0, 0),
        (1.0, 1800, 1800, 1_800_000),
        # (1 - exp(-1)) / (1 - exp(-2)) = 0.632121 / 0.864665 = 0.731059
        (1.0, 1800, 900, 1_315_905),
        # (1 - exp(-0.5)) / (1 - exp(-2)) = 0.393469 / 0.864665 = 0.455054; * 0.95 * 1200 s
        (0.95, 1200, 300, 518_762),
        (1.0, 600, 700, 600_000),  # past the usual time: nothing more
        (0.0, 120, 120, 0),
    ],
)
def test_worth(weight: float, usual: int, played: int, worth: int) -> None:
    assert worth_of(item("a", weight=weight, usual_seconds=usual), played, 2.0) == worth
