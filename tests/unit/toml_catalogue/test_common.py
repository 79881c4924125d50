"""What instruments share: every common exercise can be taken by an instrument, and its sentences are whole."""

from typing import Final

import pytest
from bagatelle.model.text import Message, Value
from bagatelle.toml_catalogue.catalogue import common_part

from tests.unit.toml_catalogue.kazoo import KAZOO, loaded

NAMES: Final = [entry.name for entry in common_part().part.exercise]
TAKEN: Final = loaded(f"{KAZOO}\n[common]\ntake = {NAMES}\n")


def test_all_can_be_taken() -> None:
    assert TAKEN.plugins[0].reason is None
    assert {f"kazoo.{name}" for name in NAMES} < {exercise.id for exercise in TAKEN.exercises}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("locale", ["en", "en-US"])
def test_sentences_at_the_defaults(name: str, locale: str) -> None:
    exercise = TAKEN.exercise(f"kazoo.{name}")
    material = TAKEN.material(exercise.id, exercise.defaults)
    of_dose: dict[str, Value] = {
        "units": tuple(unit.label for unit in material.units),
        "unit_count": len(material.units),
        "unit_count_in_words": Message(f"engine.number.{len(material.units)}"),
    }
    for part in ("what", "how", "how_much", "done_when", "soft.what", "soft.how"):
        said = TAKEN.wording.render(
            Message(f"{exercise.id}.{part}", {**material.parameters, **of_dose}), locale
        )
        assert said
        assert "{" not in said
        assert len(said) <= 140
        american = locale == "en-US"
        assert not american or not any(word in said for word in ("crotchet", " bar ", " bars", "metre "))


@pytest.mark.parametrize("name", NAMES)
def test_details_of_every_unit_keep_to_american_words(name: str) -> None:
    exercise = TAKEN.exercise(f"kazoo.{name}")
    every = {
        setting: schema["items"]["enum"]
        for setting, schema in exercise.settings_schema["properties"].items()
        if "enum" in schema.get("items", {})
    }
    for unit in TAKEN.material(exercise.id, {**exercise.defaults, **every}).units:
        if unit.detail is not None:
            said = TAKEN.wording.render(unit.detail, "en-US")
            assert not any(word in said.split() for word in ("crotchet", "bar", "bars", "metre")), said


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_worked_by_what_is_silent(name: str) -> None:
    soft_form = TAKEN.exercise(f"kazoo.{name}").soft_form
    assert soft_form is not None
    assert (soft_form.strain, soft_form.loudness, soft_form.needs_instrument) == ("none", "silent", False)


def said_of(name: str, part: str, locale: str = "en", **settings: int) -> str:
    """A text of a common exercise for its first unit, its defaults but for these settings."""
    exercise = TAKEN.exercise(f"kazoo.{name}")
    material = TAKEN.material(exercise.id, {**exercise.defaults, **settings})
    of_dose: dict[str, Value] = {"units": tuple(unit.label for unit in material.units[:1]), "unit_count": 1}
    return TAKEN.wording.render(Message(f"{exercise.id}.{part}", {**material.parameters, **of_dose}), locale)


@pytest.mark.parametrize("name", ["passage", "slow-bars", "step-up", "from-memory"])
@pytest.mark.parametrize("part", ["what", "how", "soft.what", "soft.how"])
def test_one_bar_is_spoken_of_as_one(name: str, part: str) -> None:
    for locale, bars in (("en", "bars"), ("en-US", "measures")):
        said = said_of(name, part, locale, bars=1).split()
        assert bars not in said
        assert "them" not in said


@pytest.mark.parametrize("name", ["passage", "slow-bars", "step-up", "from-memory"])
def test_away_from_the_instrument_it_is_as_many_bars(name: str) -> None:
    assert "three bars" in said_of(name, "soft.what", bars=3)


def test_a_tune_named_by_ear_ends_without_a_sound() -> None:
    assert "sounds" not in said_of("by-ear", "soft.done_when")
