"""Every legal setting either gives units that last what the formula says, or is refused for its length."""

from collections.abc import Mapping
from typing import Any

import jsonschema_rs
import pytest
from bagatelle.contract import Exercise, Material, Message
from bagatelle.wording import Wording, engine_texts
from bagatelle_snare_drum.catalogue import instrument, texts
from bagatelle_snare_drum.durations import exact_seconds
from bagatelle_snare_drum.plugin import bagatelle_material
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.plugins.snare_drum.lengths import LENGTHS, slug
from tests.plugins.snare_drum.schemas import from_schema

EXERCISES = instrument().exercises
WORDING = Wording((*engine_texts(), *texts()))
EACH = pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
TEXTS = ("title", "what", "how", "how_much", "done_when", "soft.what", "soft.how", "soft.done_when")


def refusal_is_right(given_settings: Mapping[str, Any], expected: Mapping[str, Any], message: str) -> bool:
    """Whether a cross-setting refusal has one of the four reasons that there are."""
    names = [slug(each) for each in given_settings.get("rudiments", ())]
    passages = [each["id"] for each in given_settings.get("passages", ())]
    if "is asked for twice" in message:
        return len(set(names)) < len(names)
    if "an id of its own" in message:
        return len(set(passages)) < len(passages)
    if "must be above from_bpm" in message:
        return bool(given_settings["to_bpm"] <= given_settings["from_bpm"])
    return "are accepted" in message and any(not 5 <= each <= 600 for each in expected.values())


def answer_to(exercise: Exercise, given_settings: Mapping[str, Any]) -> tuple[Material | None, str]:
    try:
        return bagatelle_material(exercise.id, given_settings), ""
    except ValueError as error:
        return None, str(error)


def texts_of_dose(exercise: Exercise, material: Material, count: int, locale: str) -> list[str]:
    units = material.units[:count]
    parameters = {
        **material.parameters,
        "units": tuple(unit.label for unit in units),
        "unit_count": count,
        "seconds": 60,
        "minutes": 1,
    }
    messages = [Message(f"{exercise.id}.{part}", parameters) for part in TEXTS]
    messages += [Message(caution) for caution in exercise.cautions]
    messages += [unit.label for unit in units] + [unit.detail for unit in units if unit.detail]
    return [WORDING.render(message, locale) for message in messages]


@EACH
@settings(deadline=None, max_examples=60)
@given(data=st.data())
def test_length_and_words(exercise: Exercise, data: st.DataObject) -> None:
    chosen = data.draw(from_schema(exercise.settings_schema))
    assert jsonschema_rs.Draft202012Validator(dict(exercise.settings_schema)).is_valid(chosen)
    expected = LENGTHS[exercise.id.removeprefix("snare-drum.")](chosen)
    material, refusal = answer_to(exercise, chosen)
    event(f"refused: {material is None}")
    if material is None:
        assert refusal_is_right(chosen, expected, refusal), refusal
        return
    assert {unit.id: exact_seconds(unit.timing) for unit in material.units} == expected
    assert 1 <= len(material.units) <= 60
    assert all(5 <= length <= 600 for length in expected.values())
    count = data.draw(st.integers(1, len(material.units)))
    for locale in ("en", "en-US", "en-GB"):
        for text in texts_of_dose(exercise, material, count, locale):
            assert text.strip()
            assert "{" not in text or "{" in repr(chosen)


@EACH
@settings(deadline=None, max_examples=15)
@given(data=st.data())
def test_the_order_asked_changes_nothing(exercise: Exercise, data: st.DataObject) -> None:
    # A passage keeps the order that the player gave it; everything else has an order of its own.
    chosen = data.draw(from_schema(exercise.settings_schema))
    turned = {
        name: value[::-1] if isinstance(value, list) and name != "passages" else value
        for name, value in chosen.items()
    }
    material, refusal = answer_to(exercise, chosen)
    turned_material, turned_refusal = answer_to(exercise, turned)
    assert material == turned_material
    assert bool(refusal) == bool(turned_refusal)


@EACH
def test_the_defaults_leave_no_question_open(exercise: Exercise) -> None:
    assert set(exercise.defaults) == set(exercise.settings_schema["properties"])
    material = bagatelle_material(exercise.id, exercise.defaults)
    for locale in ("en", "en-US"):
        for count in range(1, len(material.units) + 1):
            assert all(len(text) < 400 for text in texts_of_dose(exercise, material, count, locale))


@EACH
def test_whole_numbers_written_as_decimals_are_whole_numbers(exercise: Exercise) -> None:
    decimals = {
        name: float(value) if isinstance(value, int) else value for name, value in exercise.defaults.items()
    }
    assert bagatelle_material(exercise.id, decimals) == bagatelle_material(exercise.id, exercise.defaults)
