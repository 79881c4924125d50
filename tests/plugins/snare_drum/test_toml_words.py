"""What the exercises in TOML say: short, in one country's words, with an end that can be met."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle.contract import Message

from tests.plugins.snare_drum.in_toml import entries, exercise, instruments, material, rendered, said

PARTS = ("what", "how", "how_much", "done_when")
ALL_PARTS = [part for each in PARTS for part in (each, f"soft.{each}")]
LONGEST = {"what": 180, "how": 150}
OTHERS_LONGEST = 115
ENDS_THAT_CANNOT_FAIL = (
    "the stretches are done",
    "tick the line",
    "whatever happened",
    "are marked",
    "has been compared",
    "is written",
    "has a hand",
)
EXPLAINED = r" \([^)]*\)"
"""Signs of a sticking, which are no part of the sentence."""
EACH = pytest.mark.parametrize("name", entries())


def at_an_end(name: str, end: str) -> dict[str, Any]:
    """The least or the greatest of every setting, one value of every list."""
    chosen: dict[str, Any] = {}
    for setting, schema in exercise(name).settings_schema["properties"].items():
        one = schema.get("items", schema)
        if "enum" in one:
            value = one["enum"][0 if end == "minimum" else -1]
        elif one["type"] == "integer":
            value = one[end]
        else:
            continue
        chosen[setting] = [value] if schema["type"] == "array" else value
    return chosen


def texts_of(name: str, locale: str = "en") -> Iterator[tuple[str, str]]:
    """Every text by part: all units at the defaults, one unit, and one unit at both ends of all settings."""
    made = material(name)
    doses = [(made, len(made.units)), (made, 1)]
    doses += [(material(name, **at_an_end(name, end)), 1) for end in ("minimum", "maximum")]
    for part in ALL_PARTS:
        if instruments().wording.has(f"snare-drum.{name}.{part}", "en"):
            yield from ((part, said(name, part, each, count, locale)) for each, count in doses)


def of_units(name: str, locale: str) -> list[str]:
    units = material(name).units
    return [rendered(each, locale) for unit in units for each in (unit.label, unit.detail)]


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
@EACH
def test_they_keep_to_the_words_of_their_country(name: str, locale: str) -> None:
    foreign = {
        "en-GB": r"(eighth|quarter|half|whole|sixteenth) notes?\b|\bmeasures?\b|\bmeters?\b|color\b",
        "en-US": r"crotchet|quaver|\bminims?\b|semibreve|\bbars?\b|metre|colour|centimetre",
    }[locale]
    title = rendered(Message(f"snare-drum.{name}.title"), locale)
    for text in (title, *(text for _, text in texts_of(name, locale)), *of_units(name, locale)):
        assert not re.search(foreign, text), text


@EACH
def test_they_are_short_and_plain(name: str) -> None:
    for part, text in (*texts_of(name), *texts_of(name, "en-US")):
        last = part.removeprefix("soft.")
        assert len(re.sub(EXPLAINED, "", text)) <= LONGEST.get(last, OTHERS_LONGEST), text
        assert not re.search(r"\ba [aeio]|[!{}]|\.$|  |\b(\w+) \1\b", text), text
        assert text[0].isupper() == (last == "what"), text


@EACH
def test_one_unit_is_not_spoken_of_as_each(name: str) -> None:
    how_much = said(name, "how_much", material(name), 1)
    assert not re.match(r"for each|at each", how_much), how_much


@EACH
def test_an_end_can_be_met_or_left(name: str) -> None:
    for part, text in texts_of(name):
        if part.endswith("done_when"):
            assert re.search(r"\blast\b|stretches are done", text), text
            assert re.search(r"; if not, .*leave it for next time", text) or re.search(
                rf"{'|'.join(ENDS_THAT_CANNOT_FAIL)}|leave (it|them) for next time", text
            ), text
            assert not re.search(r"in a row|once more|\bagain\b", text), text


@EACH
def test_small_numbers_of_an_amount_are_words(name: str) -> None:
    for part, text in texts_of(name):
        if part.endswith("how_much"):
            assert not re.search(r"\b([1-9]|1[0-2])\b", text), text


@EACH
def test_what_is_played_on_is_said(name: str) -> None:
    made = exercise(name)
    if made.soft_form is None or not made.needs_instrument:
        return
    surfaces = made.settings_schema["properties"].get("surface", {}).get("enum", [None])
    for surface in surfaces:
        chosen = {} if surface is None else {"surface": surface}
        how = said(name, "how", material(name, **chosen), 1)
        assert re.search(rf"on the {surface or '(drum|pad)'}|on a sheet of paper", how), how
        # A drum can be loud: ear plugs are named here, or the exercise has the caution, or it is soft.
        if surface == "drum" and made.loudness == "moderate":
            assert "ear plugs" in how
        if "on the drum" in how and made.loudness == "moderate":
            assert "ear plugs" in how


@EACH
def test_signs_of_a_sticking_are_explained(name: str) -> None:
    how = said(name, "how", material(name), 1)
    details = " ".join(rendered(unit.detail) for unit in material(name).units)
    if re.search(r"[RL]>", details) and "> is the accent" not in details:
        assert "> is an accent" in how
    if re.search(r"[RL]-", details):
        assert "- counts on" in how


@EACH
def test_labels_hold_no_comma(name: str) -> None:
    # Several are listed in one sentence.
    assert [unit.id for unit in material(name).units if "," in rendered(unit.label)] == []
