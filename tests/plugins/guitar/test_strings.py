"""Strings, frets, tunings and what follows from counting semitones."""

import math

import pytest
from music21.interval import Interval
from music21.pitch import Pitch

from tests.plugins.guitar.frets import OCTAVE, OPEN, for_music21, midi, shown, tonic
from tests.plugins.guitar.loaded import Row, choices, documents, instruments, material, own_exercises

# Numbers of the open strings as they sound, the lowest first.
# Standard, drop D, open D, G and A with their octaves: Music Encoding Initiative, guidelines, data.COURSETUNING
# (standard is music21's too). Open C, and DADGAD by its name: daviddarling.info, Encyclopedia of Music,
# "alternative guitar tunings". Third to F sharp: guitarloot.org.uk, "lute tuning". The others: common practice, no
# source.
TUNINGS = {
    "standard": (40, 45, 50, 55, 59, 64),
    "drop-d": (38, 45, 50, 55, 59, 64),
    "double-drop-d": (38, 45, 50, 55, 59, 62),
    "d-and-g": (38, 43, 50, 55, 59, 64),
    "third-to-f-sharp": (40, 45, 50, 54, 59, 64),
    "dadgad": (38, 45, 50, 55, 57, 62),
    "open-g": (38, 43, 50, 55, 59, 62),
    "open-d": (38, 45, 50, 54, 57, 62),
    "open-c": (36, 43, 48, 55, 60, 64),
    "open-e": (40, 47, 52, 56, 59, 64),
    "open-a": (40, 45, 52, 57, 61, 64),
    "semitone-down": (39, 44, 49, 54, 58, 63),
    "tone-down": (38, 43, 48, 53, 57, 62),
}
TRIADS = {"open-g": "G", "open-d": "D", "open-c": "C", "open-e": "E", "open-a": "A"}
# As music21 writes them.
INTERVALS = {
    **{f"minor {name}": f"m{number}" for number, name in ((2, "second"), (3, "third"), (6, "sixth"))},
    **{f"major {name}": f"M{number}" for number, name in ((2, "second"), (3, "third"), (6, "sixth"))},
    "minor seventh": "m7",
    "major seventh": "M7",
    "perfect fourth": "P4",
    "tritone": "A4",
    "perfect fifth": "P5",
    "octave": "P8",
}
STEPS = {"semitone": 1, "tone": 2, "tones": 4, "half step": 1, "whole step": 2, "whole steps": 4}


def pitches_of(tuning: str) -> list[int]:
    row = choices("tuning")[tuning]
    return [midi(row[f"string_{string}"]) for string in (6, 5, 4, 3, 2, 1)]


def test_instrument_is_that_of_music21_an_octave_higher() -> None:
    (guitar,) = instruments().instruments
    assert [(string.name, string.pitch) for string in guitar.strings] == [
        (str(string), pitch) for string, pitch in OPEN.items()
    ]
    assert guitar.sounds_semitones == -OCTAVE
    assert guitar.highest_pitch == OPEN[1] + 19  # nineteen frets: what a classical guitar has
    assert guitar.lowest_pitch == min(min(pitches) for pitches in TUNINGS.values()) + OCTAVE


def test_tunings_are_those_of_the_handbooks() -> None:
    found = {name: tuple(pitch - OCTAVE for pitch in pitches_of(name)) for name in choices("tuning")}
    assert found == TUNINGS


@pytest.mark.parametrize("row", choices("tuning").values(), ids=lambda row: row["name"])
def test_names_and_changes_of_a_tuning_are_its_pitches(row: Row) -> None:
    names = row["names"].split(" ")
    assert [Pitch(for_music21(name)).pitchClass for name in names] == [
        pitch % OCTAVE for pitch in pitches_of(row["name"])
    ]
    assert row["home"] in names
    assert turned(row["change"]) == [
        ours - standard for ours, standard in zip(pitches_of(row["name"]), OPEN.values(), strict=True)
    ]


def turned(change: str) -> list[int]:
    """How many semitones each string moves, the lowest first, by the words."""
    moves = dict.fromkeys(OPEN, 0)
    for part in change.split("; "):
        if part == "nothing to turn":
            continue
        words, _, amount = part.replace(" and ", ", ").partition(" down ")
        sign = -1
        if not amount:
            words, _, amount = part.replace(" and ", ", ").partition(" up ")
            sign = 1
        step = amount.removeprefix("a ").removeprefix("two ")
        for string in OPEN if words == "all strings" else [int(each) for each in words if each.isdigit()]:
            moves[string] = sign * STEPS[step]
    return list(moves.values())


@pytest.mark.parametrize("row", choices("tuning").values(), ids=lambda row: row["name"])
def test_american_words_of_a_change_say_the_same(row: Row) -> None:
    texts = {name: text for document in documents() for name, text in american(document).items()}
    said = str(texts.get(f"choice.tuning.{row['name']}.change") or row["change"])
    assert turned(said) == turned(row["change"])
    assert "tone" not in said


def american(document: Row) -> Row:
    texts: Row = document.get("texts", {}).get("en-US", {})
    return texts


@pytest.mark.parametrize(("tuning", "root"), TRIADS.items())
def test_open_tunings_are_major_chords(tuning: str, root: str) -> None:
    chord = {(Pitch(root).pitchClass + semitones) % OCTAVE for semitones in (0, 4, 7)}
    assert {pitch % OCTAVE for pitch in pitches_of(tuning)} == chord


@pytest.mark.parametrize("row", choices("string").values(), ids=lambda row: row["name"])
def test_a_fret_is_a_semitone_and_the_twelfth_the_octave(row: Row) -> None:
    string = int(row["label"].removeprefix("string "))
    assert midi(row["pitch"]) == OPEN[string]
    naturals = [each.split(" ") for each in row["naturals"].split(", ")]
    frets = [0 if fret == "open" else int(fret) for _, fret in naturals]
    expected = [fret for fret in range(13) if "#" not in Pitch(OPEN[string] + fret).name.replace("-", "#")]
    assert frets == expected
    assert [name for name, _ in naturals] == [Pitch(OPEN[string] + fret).name for fret in frets]
    assert (frets[-1], naturals[-1][0]) == (OCTAVE, naturals[0][0])


@pytest.mark.parametrize("row", choices("note").values(), ids=lambda row: row["name"])
def test_a_note_on_every_string(row: Row) -> None:
    frets = [int(fret) for fret in row["frets"].split("-")]
    names = [tonic(name) for name in row["label"].split(" or ")]
    assert all(0 <= fret < OCTAVE for fret in frets)
    sounding = {(OPEN[string] + fret) % OCTAVE for string, fret in zip(OPEN, frets, strict=True)}
    assert sounding == {Pitch(name).pitchClass for name in names} == {row["pitch_class"]}


@pytest.mark.parametrize("row", choices("neighbours").values(), ids=lambda row: row["name"])
def test_a_string_is_tuned_from_the_fret_that_sounds_like_it(row: Row) -> None:
    upper, lower = (int(each) for each in row["label"].split(" from "))
    assert (midi(row["lower"]), midi(row["upper"])) == (OPEN[lower], OPEN[upper])
    assert OPEN[lower] + row["fret"] == OPEN[upper]


@pytest.mark.parametrize("row", choices("harmonic").values(), ids=lambda row: row["name"])
def test_a_harmonic_sounds_the_partial_of_its_node(row: Row) -> None:
    # The string is touched at 1/n of its length, which in equal temperament is 12 * log2(n / (n - 1)) semitones.
    part = row["part"]
    assert row["label"] == f"fret {row['fret']}"
    assert round(12 * math.log2(part / (part - 1))) == row["fret"]
    assert round(12 * math.log2(part)) == row["semitones"]
    words = {12: "an octave", 19: "an octave and a fifth", 24: "two octaves"}
    assert row["above"] == f"{words[row['semitones']]} above the open string"


@pytest.mark.parametrize("row", choices("interval").values(), ids=lambda row: row["name"])
@pytest.mark.parametrize("string", [6, 5])
def test_the_shape_of_an_interval(row: Row, string: int) -> None:
    across, frets = row["strings_across"], row["frets"]
    assert OPEN[string - across] + frets - OPEN[string] == row["semitones"]
    assert Interval(INTERVALS[row["label"]]).semitones == row["semitones"]
    places = {0: "same string", 1: "next string", 2: "two strings across"}
    numbers = {1: "one fret", 2: "two frets", 3: "three frets"}
    way = "same fret" if frets == 0 else f"{numbers[abs(frets)]} {'higher' if frets > 0 else 'back'}"
    assert row["shape"] == f"{places[across]}, {way}"


def test_interval_shapes_stay_on_the_neck() -> None:
    # The exercise goes from frets 3, 5, 7 and 9.
    assert all(3 + row["frets"] >= 0 and 9 + row["frets"] <= 19 for row in choices("interval").values())


@pytest.mark.parametrize("row", choices("capo").values(), ids=lambda row: row["name"])
def test_a_capo_raises_by_its_fret(row: Row) -> None:
    sounding = Pitch(f"{row['shapes']}4").transpose(row["fret"])
    assert sounding is not None
    assert Pitch(tonic(row["sounds"])).pitchClass == sounding.pitchClass
    assert row["label"] == f"{row['shapes']} shapes at fret {row['fret']}"


@pytest.mark.parametrize("row", choices("bend").values(), ids=lambda row: row["name"])
def test_a_bend_reaches_the_fret_it_is_compared_with(row: Row) -> None:
    steps = {"a semitone": 1, "a tone": 2, "a tone and a half": 3}
    words = {"one fret higher": 1, "two frets higher": 2, "three frets higher": 3}
    assert steps[row["label"]] == words[row["target"]] == row["semitones"]


def test_pitches_of_units_where_they_are_easily_said() -> None:
    walk = material("finger-walk", {**own_exercises()["finger-walk"].defaults, "frets": [5]}).units[0]
    assert (walk.lowest_pitch, walk.highest_pitch) == (OPEN[6] + 5, OPEN[1] + 5 + 3)
    bent = material("bends", {**own_exercises()["bends"].defaults, "bends": ["tone"]}).units[0]
    assert (bent.lowest_pitch, bent.highest_pitch) == (midi("G5"), midi("A5"))
    burst = material("bursts", own_exercises()["bursts"].defaults).units[0]
    # Frets 5, 7 and 8 of the first string.
    assert [shown(Pitch(OPEN[1] + fret)) for fret in (5, 7, 8)] == ["A", "B", "C"]
    assert (burst.lowest_pitch, burst.highest_pitch) == (OPEN[1] + 5, OPEN[1] + 8)
