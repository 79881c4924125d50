"""Law: settings that the schema accepts give units of the length that the music says, in words of every
locale, whatever part of them a plan holds; or they are refused, and only where they do not go together.
"""

from fractions import Fraction
from math import ceil

import pytest
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from tests.plugins.piano.formulas import music_seconds, whole_seconds
from tests.plugins.piano.loaded import instruments, made_by_code, said
from tests.plugins.piano.refusals import must_be_refused
from tests.plugins.piano.schemas import legal

EXERCISES = made_by_code()
"""What stands in data files has its lengths reckoned in `test_data_lengths`."""
PARTS = ("title", "what", "how", "how_much", "done_when")


@pytest.mark.parametrize("exercise", EXERCISES)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_legal_settings_give_true_lengths_and_whole_sentences(exercise: str, data: st.DataObject) -> None:
    schema = instruments().exercise(exercise).settings_schema
    # Some settings are left at their defaults, as a client would.
    chosen = data.draw(
        st.fixed_dictionaries({}, optional={name: legal(each) for name, each in schema["properties"].items()})
    )
    complete = instruments().complete_settings(exercise, chosen)
    assert instruments().settings_errors(exercise, chosen) == ()
    if must_be_refused(exercise, complete):
        event("refused")
        with pytest.raises(InvalidInputError):
            instruments().material(exercise, complete)
        return
    made = instruments().material(exercise, complete)
    assert 1 <= len(made.units) <= 60
    for unit in made.units:
        time = time_of(unit.timing)
        assert 5 <= time.seconds <= 600
        assert time.seconds == ceil(whole_seconds(exercise, complete, unit.id))
        assert abs(Fraction(time.music_seconds) - music_seconds(exercise, complete, unit.id)) <= Fraction(
            1, 1900
        )
    dose = data.draw(st.integers(1, len(made.units)))
    for locale in instruments().wording.locales:
        for count in {1, dose, len(made.units)}:
            for part in PARTS:
                assert_is_a_line(said(exercise, part, made, count, locale))


@pytest.mark.parametrize("exercise", [each.id for each in instruments().exercises if each.soft_form])
def test_soft_forms_are_said_for_one_unit_and_for_all(exercise: str) -> None:
    made = instruments().material(exercise, dict(instruments().exercise(exercise).defaults))
    for locale in instruments().wording.locales:
        for part in ("what", "how", "how_much", "done_when"):
            if instruments().wording.has(f"{exercise}.soft.{part}", locale):
                for count in {1, len(made.units)}:
                    assert_is_a_line(said(exercise, f"soft.{part}", made, count, locale))


def assert_is_a_line(text: str) -> None:
    assert text
    assert text == text.strip()
    assert not {"\n", "{", "}"} & set(text)
    assert "  " not in text
