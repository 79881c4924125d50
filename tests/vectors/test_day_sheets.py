"""The test vectors are those of the code, and the code keeps to the file."""

import msgspec
import pytest
from bagatelle import make_sheet
from bagatelle.model.errors import NotMoreTimeError

from tests.vectors.day_sheets import FILE, Vectors, text_of, vectors


@pytest.fixture(scope="module")
def kept() -> Vectors:
    return msgspec.json.decode(FILE.read_bytes(), type=Vectors)


def test_they_are_fresh() -> None:
    assert FILE.read_text(encoding="utf-8") == text_of(vectors()), "python -m tests.vectors writes them again"


def test_each_sheet_comes_of_its_card_and_its_day(kept: Vectors) -> None:
    for case in kept.cases:
        if case.sheet is None:
            with pytest.raises(NotMoreTimeError):
                make_sheet(kept.cards[case.card], case.made_from)
        else:
            assert make_sheet(kept.cards[case.card], case.made_from) == case.sheet, case.name


def test_they_ask_for_all_that_the_rule_tells(kept: Vectors) -> None:
    sheets = [case.sheet for case in kept.cases if case.sheet is not None]
    steps = [step for sheet in sheets for step in sheet.steps]
    assert len(kept.cases) >= 60
    assert len({case.name for case in kept.cases}) == len(kept.cases)
    assert {sheet.kind for sheet in sheets} >= {"usual", "scraps", "low-energy", "away", "quiet", "resting"}
    codes = {notice.code for sheet in sheets for notice in sheet.notices}
    assert codes == {"no-short-day", "little-energy", "nothing-fits", "floors-lowered"}
    assert any(step.kind == "rest" for step in steps)
    assert any(step.continues for step in steps)
    assert any(step.id.endswith(".2") and step.kind == "task" for step in steps)
    assert any(unit.times > 1 for step in steps for unit in step.units)
    assert any(len(case.made_from.asks) > 1 for case in kept.cases)
    assert any(case.sheet is None for case in kept.cases)
