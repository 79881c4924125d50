"""Clefs against music21's; transposing instruments against music21's intervals and its instruments."""

from collections.abc import Callable

import pytest
from music21 import clef, instrument
from music21.interval import Interval
from music21.pitch import Pitch

from tests.plugins.musicianship.loaded import Row, choices
from tests.plugins.musicianship.spelling import in_words

CLEFS: dict[str, type[clef.PitchClef]] = {
    "treble": clef.TrebleClef,
    "bass": clef.BassClef,
    "alto": clef.AltoClef,
    "tenor": clef.TenorClef,
    "soprano": clef.SopranoClef,
    "mezzo-soprano": clef.MezzoSopranoClef,
    "baritone": clef.FBaritoneClef,
}
LINES = ["first", "second", "third", "fourth", "fifth"]
# Middle C counted in steps of the staff from the lowest line, which is 0: lines are even.
PLACES = {-2: "on the first ledger line below", 10: "on the first ledger line above"} | {
    2 * line: f"on the {name} line" for line, name in enumerate(LINES)
}
INTERVALS = {
    "a major second": "M2",
    "a minor third": "m3",
    "a perfect fourth": "P4",
    "a perfect fifth": "P5",
    "a major sixth": "M6",
    "an octave": "P8",
    "an octave and a major second": "M9",
    "an octave and a major sixth": "M13",
}
# Those whose transposition music21 knows. It has none for the alto flute, the horn in E flat down by a sixth
# and the clarinets in A and E flat: those rest on the interval alone (orchestration handbooks, from memory).
INSTRUMENTS: dict[str, Callable[[], instrument.Instrument]] = {
    "clarinet-b-flat": instrument.Clarinet,
    "trumpet-b-flat": instrument.Trumpet,
    "horn-f": instrument.Horn,
    "cor-anglais": instrument.EnglishHorn,
    "alto-saxophone": instrument.AltoSaxophone,
    "tenor-saxophone": instrument.TenorSaxophone,
    "baritone-saxophone": instrument.BaritoneSaxophone,
    "bass-clarinet": instrument.BassClarinet,
    "piccolo": instrument.Piccolo,
    "double-bass": instrument.Contrabass,
}


def diatonic(number: int) -> Pitch:
    pitch = Pitch()
    pitch.diatonicNoteNum = number
    return pitch


@pytest.mark.parametrize("given", choices("clef"), ids=lambda given: given["name"])
def test_lines_spaces_and_middle_c(given: Row) -> None:
    known = CLEFS[given["name"]]()
    assert known.line is not None
    assert given["sign"] == f"{known.sign} clef on the {LINES[known.line - 1]} line"
    assert diatonic(known.lowestLine).nameWithOctave == given["lowest_line"]
    steps = [diatonic(known.lowestLine + step).name for step in range(9)]
    assert given["lines"] == " ".join(steps[::2])
    assert given["spaces"] == " ".join(steps[1::2])
    place = Pitch("C4").diatonicNoteNum - known.lowestLine
    assert given["middle_c"] == f"middle C {PLACES[place]}"


def test_every_clef_is_known() -> None:
    assert [given["name"] for given in choices("clef")] == list(CLEFS)


@pytest.mark.parametrize("given", choices("transposing"), ids=lambda given: given["name"])
def test_words_semitones_and_the_sound_of_written_c_agree(given: Row) -> None:
    words, direction = given["sounds"].rsplit(" ", 1)
    interval = Interval(INTERVALS[words] if direction == "higher" else f"-{INTERVALS[words]}")
    assert given["semitones"] == interval.semitones
    assert given["written_c"] == in_words(interval.transposePitch(Pitch("C5")))
    if " in " in given["label"] and "clef" not in given["label"]:
        assert given["label"].endswith(f" in {given['written_c']}")


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_instruments_transpose_as_music21_has_them(name: str) -> None:
    (given,) = [row for row in choices("transposing") if row["name"] == name]
    transposition = INSTRUMENTS[name]().transposition
    assert transposition is not None
    assert given["semitones"] == transposition.semitones


def test_a_clarinet_in_a_is_known_to_music21_by_name() -> None:
    (given,) = [row for row in choices("transposing") if row["name"] == "clarinet-a"]
    transposition = instrument.fromString("Clarinet in A").transposition
    assert transposition is not None
    assert given["semitones"] == transposition.semitones
