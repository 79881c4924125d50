"""Words that can be read in one way alone: ear plugs, note values, where the click falls, what is done once."""

import re

import pytest
from bagatelle.contract import NoteTiming
from bagatelle_snare_drum.catalogue import instrument

from tests.plugins.snare_drum.in_toml import entries, exercise, material, rendered, said

NOTE_VALUES = {2: "quavers", 3: "triplet quavers", 4: "semiquavers"}
NAMES = (*(each.id.removeprefix("snare-drum.") for each in instrument().exercises), *entries())
WITH_TEMPI = [name for name in NAMES if "tempi" in exercise(name).settings_schema["properties"]]
ON_A_DRUM = [
    name
    for name in NAMES
    if "drum" in exercise(name).settings_schema["properties"].get("surface", {}).get("enum", ())
]


@pytest.mark.parametrize("name", ON_A_DRUM)
def test_ear_plugs_are_in_the_ears(name: str) -> None:
    how = said(name, "how", material(name, surface="drum"), 1)
    assert not re.search(r"plugs on|\bin in\b", how), how
    if "ear plugs" in how:
        assert how.startswith("ear plugs in; on the drum") or "on the drum, ear plugs in, at" in how, how


@pytest.mark.parametrize("name", WITH_TEMPI)
def test_a_tempo_is_named_with_its_beat_so_that_it_stands_alone_too(name: str) -> None:
    for unit in material(name).units:
        assert rendered(unit.label) == f"crotchet = {unit.id}"


def test_types_of_strokes_have_a_note_value() -> None:
    made = material("stroke-types", patterns=["full", "tap", "down-up", "down-tap-up", "down-taps-up"])
    for unit in made.units:
        assert isinstance(unit.timing, NoteTiming)
        value = NOTE_VALUES[round(unit.timing.notes_per_beat)]
        assert rendered(unit.detail).startswith(f"in {value}; ")


def test_bare_hands_hold_no_stick() -> None:
    assert "stick" not in said("stroke-types", "soft.done_when", material("stroke-types"), 1)


def test_the_click_is_where_it_is_named_and_nowhere_else() -> None:
    for part in ("how", "soft.how"):
        assert said("click-places", part, material("click-places"), 2).endswith("only as named")


def test_an_audition_is_played_once_before_a_panel() -> None:
    assert not exercise("mock-audition").goes_round
    what = said("mock-audition", "what", material("mock-audition"), 2)
    assert what == "Excerpts before a panel that is not there: the first drawn and the second drawn"


def test_bars_without_a_label_are_counted_in_the_words_of_the_country() -> None:
    assert rendered(material("passage").units[0].label) == "the eight bars marked in pencil"
    assert rendered(material("passage").units[0].label, "en-US") == "the eight measures marked in pencil"
    one = {"id": "one", "bars": 1, "bpm": 60}
    part = {"id": "part", "bars": 2.5, "bpm": 60}
    labels = [rendered(unit.label) for unit in material("passage", passages=[one, part]).units]
    assert labels == ["the bar marked in pencil", "the 2.5 bars marked in pencil"]
