"""What the data files say: short, right for one unit and for many, with an end that can be met or left."""

import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.plugins.piano.loaded import choices, details, entries, files, instruments, material, said

OWN = sorted(entries())
PARTS = ("what", "how", "how_much", "done_when")
ALL_PARTS = [part for each in PARTS for part in (each, f"soft.{each}")]
AMERICAN = r"crotchet|quaver|\bminims?\b|semibreve|\bbars?\b|semitone|metre|colour|spelt|learnt|pencilled"


def odd_settings(exercise: str) -> dict[str, Any]:
    """One unit, once through or as seldom as it goes, the last choice of each list."""
    odd: dict[str, Any] = {}
    for name, entry in entries()[exercise].get("settings", {}).items():
        if "most" in entry:
            odd[name] = [entry["default"][-1]]
        elif name in {"passes", "rounds", "minutes_in_all", "minutes_each"}:
            odd[name] = entry["whole"][0]
        elif "of" in entry:
            odd[name] = (entry.get("only") or [row["name"] for row in choices(entry["of"])])[-1]
    return odd


def texts_of(exercise: str, locale: str = "en") -> Iterator[tuple[str, str]]:
    """Every text of an exercise, by part: all units at the defaults, one unit, and one unit of odd settings."""
    made, odd = material(exercise), material(exercise, **odd_settings(exercise))
    for part in ALL_PARTS:
        if instruments().wording.has(f"{exercise}.{part}", locale):
            yield part, said(exercise, part, made, len(made.units), locale)
            yield part, said(exercise, part, made, 1, locale)
            yield part, said(exercise, part, odd, 1, locale)


@pytest.mark.parametrize("exercise", OWN)
def test_american_words_at_odd_settings_too(exercise: str) -> None:
    every = {
        name: [row["name"] for row in choices(entry["of"])][: entry["most"]]
        for name, entry in entries()[exercise].get("settings", {}).items()
        if "of" in entry and "most" in entry and "only" not in entry
    }
    made = material(exercise, **every)
    texts = [text for _, text in texts_of(exercise, "en-US")] + [*details(made, "en-US").values()]
    for text in (*texts, said(exercise, "what", made, len(made.units), "en-US")):
        assert not re.search(AMERICAN, text.replace("welve-bar blues", "")), text


@pytest.mark.parametrize("exercise", OWN)
def test_texts_are_short_and_plain(exercise: str) -> None:
    for part, text in texts_of(exercise):
        limit = {"what": 180, "how": 130}.get(part.removeprefix("soft."), 125)
        assert len(text) <= limit, text
        assert not re.search(r"[!{}]|\.$|  |\bone passes\b|\bone minutes\b|from memory from memory", text), (
            text
        )
        assert text[0].isupper() or part.removeprefix("soft.") != "what", text
        assert text.count(": ") <= 1, text


@pytest.mark.parametrize("exercise", OWN)
def test_one_unit_is_not_spoken_of_as_each(exercise: str) -> None:
    made = material(exercise)
    how_much = said(exercise, "how_much", made, 1)
    assert not re.search(r"\beach\b(?! hand| finger)", how_much.replace("rest after each", "")), how_much
    assert "in turn" not in said(exercise, "what", made, 1)


@pytest.mark.parametrize("exercise", OWN)
def test_an_end_can_be_met_or_left(exercise: str) -> None:
    """It speaks of the last one or of the time; what is not met is left, not begun anew."""
    for part, text in texts_of(exercise):
        if part.endswith("done_when"):
            assert re.search(r"\blast\b|time is up", text), text
            assert not re.search(r"in a row|twice|once more|\bagain\b", text), text


@pytest.mark.parametrize("exercise", OWN)
def test_the_strained_ones_end_before_they_hurt(exercise: str) -> None:
    if instruments().exercise(exercise).strain in {"moderate", "high"}:
        assert "stop sooner" in said(exercise, "done_when", material(exercise), 1)


@pytest.mark.parametrize("exercise", OWN)
def test_a_unit_can_be_named_in_the_middle_of_a_sentence(exercise: str) -> None:
    """As in "then thirds with 1 and 3 a second time"; figures of a bass are figures."""
    for setting in entries()[exercise].get("settings", {}).values():
        if "of" in setting and "most" in setting and setting["of"] != "figure":
            for row in choices(setting["of"]):
                assert not re.search(r",|^[\d ]+$", row["label"]), row["label"]


@pytest.mark.parametrize("exercise", OWN)
def test_what_is_silent_is_neither_spoken_nor_hummed(exercise: str) -> None:
    soft_form = instruments().exercise(exercise).soft_form
    if soft_form is not None and soft_form.loudness == "silent":
        for part, text in texts_of(exercise):
            assert not part.startswith("soft.") or not re.search(r"\baloud\b|\bhum", text), text


def test_every_source_and_list_is_used() -> None:
    own = entries().values()
    lists = {
        setting["of"] for entry in own for setting in entry.get("settings", {}).values() if "of" in setting
    }
    assert lists == {name for each in files() for name in each.get("choices", {})}
    named = {each for entry in own for each in entry["sources"]}
    assert named == {name for each in files() for name in each.get("sources", {})}
