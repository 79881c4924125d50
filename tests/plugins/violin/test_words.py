"""What is said: short, in one country's words, with an end that can be met, right for one unit and for many."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle.contract import Message

from tests.plugins.violin.loaded import choices, entries, instruments, material, said

OWN = sorted(entries())
PARTS = ("what", "how", "how_much", "done_when")
ALL_PARTS = [part for each in PARTS for part in (each, f"soft.{each}")]


def odd_settings(exercise: str) -> dict[str, Any]:
    """One unit, once through, the last choice of each list."""
    odd: dict[str, Any] = {}
    for name, entry in entries()[exercise].get("settings", {}).items():
        if "most" in entry:
            odd[name] = [entry["default"][0]]
        elif name in {"passes", "octaves"}:
            odd[name] = entry["whole"][0]
        elif "of" in entry and name != "values":
            odd[name] = (entry.get("only") or [row["name"] for row in choices(entry["of"])])[-1]
    return odd


def least_settings(exercise: str) -> dict[str, int]:
    """The least of everything that is counted, at the tempo of the defaults."""
    return {
        name: entry["whole"][0]
        for name, entry in entries()[exercise].get("settings", {}).items()
        if "whole" in entry and "most" not in entry and name != "bpm"
    }


def texts_of(exercise: str, locale: str = "en") -> Iterator[tuple[str, str]]:
    """Every text of an exercise, by part: all units at the defaults, one unit, and one unit of odd settings."""
    made, odd = material(exercise), material(exercise, **odd_settings(exercise))
    for part in ALL_PARTS:
        if instruments().wording.has(f"violin.{exercise}.{part}", locale):
            yield part, said(exercise, part, made, len(made.units), locale)
            yield part, said(exercise, part, made, 1, locale)
            yield part, said(exercise, part, odd, 1, locale)


def details_of(exercise: str, locale: str) -> list[str]:
    units = material(exercise).units
    return [instruments().wording.render(unit.detail, locale) for unit in units if unit.detail]


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
@pytest.mark.parametrize("exercise", OWN)
def test_texts_keep_to_the_words_of_their_country(exercise: str, locale: str) -> None:
    foreign = {
        "en-GB": r"(eighth|quarter|half|whole) notes?\b|\bmeasures?\b|half step|whole step|colou?r\b|spelled",
        "en-US": r"crotchet|quaver|\bminims?\b|semibreve|\bbars?\b|semitone|metre|colour|spelt|neighbour",
    }[locale]
    for text in (*(text for _, text in texts_of(exercise, locale)), *details_of(exercise, locale)):
        assert not re.search(foreign, text), text


@pytest.mark.parametrize("exercise", OWN)
def test_texts_are_short_and_plain(exercise: str) -> None:
    for part, text in texts_of(exercise):
        limit = {"what": 180, "how": 125}.get(part.removeprefix("soft."), 115)
        assert len(text) <= limit, text
        assert not re.search(r"[!{}]|\.$|  ", text), text
        begins_with_capital = text[0].isupper()
        assert begins_with_capital or part.removeprefix("soft.") != "what", text
        assert not begins_with_capital or part.removeprefix("soft.") == "what" or text.startswith("A "), text


@pytest.mark.parametrize("exercise", OWN)
def test_one_unit_is_not_spoken_of_as_each(exercise: str) -> None:
    made = material(exercise)
    how_much = said(exercise, "how_much", made, 1)
    assert not re.match(r"each\b(?! finger)|for each", how_much), how_much


@pytest.mark.parametrize("exercise", OWN)
def test_one_of_a_thing_is_spoken_of_as_one(exercise: str) -> None:
    made = material(exercise, **least_settings(exercise))
    for part in ALL_PARTS:
        if instruments().wording.has(f"violin.{exercise}.{part}", "en"):
            text = said(exercise, part, made, len(made.units))
            assert not re.search(r"\bone (bars|notes|strokes|bows|figures|throws|times)\b", text), text


@pytest.mark.parametrize("exercise", OWN)
def test_an_end_can_be_met_or_left(exercise: str) -> None:
    """It speaks of the last one or of the time, and what was not met is left rather than begun again."""
    for part, text in texts_of(exercise):
        if part.endswith("done_when"):
            assert re.search(
                r"\blast\b|time is up|are done|stands|sounds pure|low tone|is clean|agrees|are loose", text
            ), text
            assert not re.search(r"in a row|twice|once more|\bagain\b", text), text


@pytest.mark.parametrize("exercise", OWN)
def test_small_numbers_are_words_but_for_fingers_and_tempos(exercise: str) -> None:
    made = material(exercise, **least_settings(exercise))
    texts = [*texts_of(exercise), ("how_much", said(exercise, "how_much", made, len(made.units)))]
    for part, text in texts:
        if part.endswith("how_much"):
            assert not re.search(r"\b([1-9]|1[0-2])\b", text), text


def test_cautions_defer_to_people() -> None:
    for name in ("neck", "left-hand", "bow-arm", "hearing"):
        text = instruments().wording.render(Message(f"violin.caution.{name}"), "en")
        assert re.search("doctor or physiotherapist who knows musicians|audiologist", text)
    assert "teacher" in instruments().wording.render(Message("violin.caution.left-hand"), "en")
