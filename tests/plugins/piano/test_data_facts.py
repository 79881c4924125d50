"""What the lists of the data files say of keys, chords, figures, modes, clefs and parts, against music21."""

import re
from collections.abc import Callable, Iterable
from typing import Any

import pytest
from music21.clef import AltoClef, BassClef, PitchClef, TrebleClef
from music21.expressions import InvertedMordent, Mordent, Turn
from music21.figuredBass.realizerScale import FiguredBassScale
from music21.harmony import ChordSymbol
from music21.instrument import fromString
from music21.interval import Interval
from music21.key import Key, KeySignature
from music21.note import Note
from music21.pitch import Pitch
from music21.roman import RomanNumeral

from tests.plugins.piano.loaded import choices, details, entries, material

KEYS = {row["name"]: row for row in choices("major-key")}


def as_music21(name: str) -> str:
    return name.replace("♭", "-").replace("♯", "#")


def as_written(names: Iterable[str]) -> str:
    return "-".join(name.replace("-", "♭").replace("#", "♯") for name in names)


def key_of(name: str) -> Key:
    return Key(tonic_of(name), "major")


def tonic_of(name: str) -> str:
    letter, _, sign = name.partition("-")
    return letter.upper() + {"": "", "flat": "-", "sharp": "#"}[sign]


def spelt(figure: str, key: Key) -> list[str]:
    return [each.name for each in RomanNumeral(figure, key).pitches]


def symbols(text: str) -> dict[str, set[str]]:
    """Degrees and the notes of the chord symbols beside them, as `I C, ii Dm` gives."""
    pairs = (each.split(" ") for each in text.split(", "))
    return {degree: {each.name for each in ChordSymbol(as_music21(chord)).pitches} for degree, chord in pairs}


def test_the_twelve_keys_are_a_whole_circle_of_fifths() -> None:
    assert sorted(Pitch(tonic_of(name)).pitchClass for name in KEYS) == list(range(12))
    fifths = [key_of(name).sharps for name in KEYS]
    assert fifths == [*range(7), -1, -2, -3, -4, -5]


@pytest.mark.parametrize("name", KEYS)
def test_a_key_is_spelt_as_music21_spells_it(name: str) -> None:
    row, key = KEYS[name], key_of(name)
    assert row["label"] == tonic_of(name).replace("-", " flat").replace("#", " sharp")
    lowest = Pitch(row["lowest"].replace("b", "-"))
    assert lowest.name == key.tonic.name
    assert Pitch("G2").midi <= lowest.midi <= Pitch("F#3").midi
    assert as_music21(row["third"]) == key.pitchFromDegree(3).name
    triad = spelt("I", key)
    assert row["triads"] == ", ".join(as_written(triad[turn:] + triad[:turn]) for turn in range(3))
    assert row["dominant_seventh"] == as_written(spelt("V7", key))
    assert row["dominant_key"].replace(" flat", "-").replace(" sharp", "#") == key.pitchFromDegree(5).name


@pytest.mark.parametrize("name", KEYS)
def test_chord_symbols_are_the_degrees_that_stand_before_them(name: str) -> None:
    row, key = KEYS[name], key_of(name)
    assert symbols(row["degrees"]) == {each: set(spelt(each, key)) for each in ("I", "ii", "IV", "V", "vi")}
    assert symbols(row["primary"]) == {each: set(spelt(each, key)) for each in ("I", "IV", "V7")}
    # Of a blues all three are dominant sevenths: of the keys whose fifth degree is I, IV and V.
    of_blues = {
        f"{figure}7": set(spelt("V7", Key(key.pitchFromDegree(degree).transpose(5).name, "major")))
        for figure, degree in (("I", 1), ("IV", 4), ("V", 5))
    }
    assert {degree: pitch_classes(notes) for degree, notes in symbols(row["sevenths"]).items()} == {
        degree: pitch_classes(notes) for degree, notes in of_blues.items()
    }


def pitch_classes(names: Iterable[str]) -> set[int]:
    return {Pitch(name).pitchClass for name in names}


@pytest.mark.parametrize("name", KEYS)
def test_the_way_to_the_dominant_is_a_chord_of_both_keys_and_the_dominants_own_dominant(name: str) -> None:
    key = key_of(name)
    dominant = Key(key.pitchFromDegree(5).name, "major")
    both, leading = (ChordSymbol(as_music21(each)) for each in KEYS[name]["pivot"].split(", then "))
    assert {each.name for each in both.pitches} == set(spelt("vi", key)) == set(spelt("ii", dominant))
    assert {each.name for each in leading.pitches} == set(spelt("V7", dominant))


def test_progressions_have_as_many_chords_as_they_name_and_all_of_them_stand_beside_the_key() -> None:
    for row in choices("progression"):
        chords = row["label"].split("-")
        assert row["chords"] == len(chords)
        assert set(chords) <= set(symbols(KEYS["c"]["degrees"]))


FIGURED_BASS: Callable[[str, str], Any] = FiguredBassScale  # music21 leaves it without types
ORDINALS = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}


@pytest.mark.parametrize("row", choices("figure"), ids=lambda row: row["name"])
def test_figures_stand_for_those_intervals(row: dict[str, str]) -> None:
    figures = row["label"].replace("/", ",")
    notes = FIGURED_BASS("C", "major").getPitchNames("G3", "" if figures == "5,3" else figures)
    steps = sorted((Pitch(f"{name}3").diatonicNoteNum - Pitch("G3").diatonicNoteNum) % 7 for name in notes)
    words = re.findall("|".join(ORDINALS.values()), row["intervals"])
    assert [ORDINALS[step + 1] for step in steps if step] == words


QUALITIES = {
    "major": "I",
    "minor": "i",
    "diminished": "viio",
    "augmented": "III+",
    "dominant-seventh": "V7",
    "diminished-seventh": "viio7",
}


@pytest.mark.parametrize("row", choices("quality"), ids=lambda row: row["name"])
def test_chords_have_those_intervals(row: dict[str, str]) -> None:
    mode = "major" if row["name"] in {"major", "dominant-seventh"} else "minor"
    notes = RomanNumeral(QUALITIES[row["name"]], Key("C" if mode == "major" else "c")).pitches
    assert [Interval(notes[0], note).niceName.lower() for note in notes[1:]] == row["steps"].split(", ")


@pytest.mark.parametrize("row", choices("interval"), ids=lambda row: row["name"])
def test_intervals_are_so_many_semitones(row: dict[str, int | str]) -> None:
    quality, size, way = str(row["label"]).removeprefix("a ").split(" ")
    number = {word: count for count, word in ORDINALS.items()}[size]
    interval = Interval(f"{ {'major': 'M', 'minor': 'm', 'perfect': 'P'}[quality] }{number}")
    assert row["semitones"] == interval.semitones * {"up": 1, "down": -1}[way]


@pytest.mark.parametrize("row", choices("mode"), ids=lambda row: row["name"])
def test_modes_have_the_white_keys_from_their_own_note(row: dict[str, str]) -> None:
    pitches = Key(row["label"][0], row["name"]).pitches
    assert row["notes"] == "-".join(each.name for each in pitches[:-1])
    assert row["label"].lower() == f"{pitches[0].name.lower()} {row['name']}"
    tonic, other = (ChordSymbol(each) for each in row["chords"].split(" and "))
    assert tonic.root().name == pitches[0].name
    assert {each.name for chord in (tonic, other) for each in chord.pitches} <= {
        each.name for each in pitches
    }
    # The chords together hold the note that marks the mode.
    marking = {"dorian": "B", "phrygian": "F", "lydian": "B", "mixolydian": "F", "aeolian": "G"}[row["name"]]
    assert marking in {each.name for chord in (tonic, other) for each in chord.pitches}


PARTS = {
    "clarinet-b-flat": "Clarinet",
    "clarinet-a": "Clarinet in A",
    "horn-f": "Horn",
    "english-horn": "English horn",
    "alto-saxophone": "Alto saxophone",
}


@pytest.mark.parametrize("row", choices("score-part"), ids=lambda row: row["name"])
def test_transposing_instruments_sound_that_much_lower(row: dict[str, int | str]) -> None:
    transposition = fromString(PARTS[str(row["name"])]).transposition
    assert transposition.semitones == row["semitones"]
    assert row["sounds"] == f"a {transposition.niceName.lower()} lower than written"


def lowest_line(kind: type[PitchClef]) -> int:
    found = kind().lowestLine
    assert found is not None
    return found


def test_notes_stand_where_the_clefs_put_them() -> None:
    """The lowest line of a staff is 0, its top line 8; the third ledger line is 6 beyond."""
    treble, bass = lowest_line(TrebleClef), lowest_line(BassClef)
    expected = {
        "treble": (treble, treble + 8),
        "bass": (bass, bass + 8),
        "between": (bass + 9, treble - 1),
        "above": (treble + 9, treble + 8 + 6),
        "below": (bass - 6, bass - 1),
    }
    for row in choices("place-on-staff"):
        found = tuple(Pitch(row[end]).diatonicNoteNum for end in ("lowest", "highest"))
        assert found == expected[row["name"]]
        # The letters that are said are those of the ends.
        letters = re.findall(r"\b[A-G]\b", row["reach"].replace("middle C", ""))
        assert set(letters) == {row["lowest"][0], row["highest"][0]}


def test_a_viola_reads_the_alto_clef() -> None:
    """Middle C is on the middle line of it, two lines above the lowest."""
    assert lowest_line(AltoClef) + 4 == Pitch("C4").diatonicNoteNum
    assert all("alto" in row["clefs"] for row in choices("score") if "string" in row["label"])


SIGNS = {"upper-mordent": InvertedMordent, "lower-mordent": Mordent, "turn": Turn}
"""In American English, which music21 speaks, the upper one is the inverted one."""


@pytest.mark.parametrize("row", choices("ornament"), ids=lambda row: row["name"])
def test_ornaments_have_those_notes(row: dict[str, str]) -> None:
    if row["name"] == "acciaccatura":
        # Common practice, no source: a note crushed in from the step below.
        assert (row["played"], row["lowest"], row["highest"]) == ("B crushed against C", "B4", "C5")
        return
    before, main, after = SIGNS[row["name"]]().realize(Note("C5", quarterLength=2), keySig=KeySignature(0))
    notes = [*before, *([main] if main is not None else []), *after]
    assert row["played"] == "-".join(each.name for each in notes)
    by_height = sorted(notes, key=lambda each: each.pitch.ps)
    assert (row["lowest"], row["highest"]) == (by_height[0].nameWithOctave, by_height[-1].nameWithOctave)


def test_thumb_passages_have_a_finger_for_each_note_and_the_thumb_where_they_say() -> None:
    for row in choices("thumb-passage"):
        notes, _, fingers = row["how"].partition(" and back: ")
        up, played = notes.split("-"), [int(each) for each in fingers.split(" ")]
        assert len(played) == row["notes"] == 2 * len(up) - 1
        assert played == played[::-1]
        after = played[played.index(1, 1) - 1]
        hand = row["name"].partition("-")[0]
        assert row["label"] == f"1 after {after} in the {hand} hand"
        ends = sorted((row["lowest"], row["highest"]), key=lambda name: int(Pitch(name).midi))
        assert {up[0], up[-1]} == {each[0] for each in ends}
        assert abs(Pitch(ends[1]).diatonicNoteNum - Pitch(ends[0]).diatonicNoteNum) == len(up) - 1


@pytest.mark.parametrize(
    ("name", "size"),
    [("octave", "P8"), ("tenth", "M10"), ("two-octaves", "P15"), ("three-octaves", "P22")],
)
def test_leaps_are_so_wide(name: str, size: str) -> None:
    (row,) = (each for each in choices("leap") if each["name"] == name)
    assert row["semitones"] == Interval(size).semitones


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("two-octaves", "P15"),
        ("two-octaves-and-third", "M17"),
        ("two-octaves-and-fifth", "P19"),
        ("three-octaves", "P22"),
    ],
)
def test_far_leaps_are_so_wide_and_land_on_the_keys_they_name(name: str, size: str) -> None:
    (row,) = (each for each in choices("far-leap") if each["name"] == name)
    assert row["semitones"] == Interval(size).semitones
    above, below = (Pitch("C4").transpose(f"{way}{size}").name.replace("-", " flat") for way in ("", "-"))
    assert row["keys"] == f"{above} above, {below} below"


def test_each_voice_of_a_seventh_chord_has_its_finger() -> None:
    """Upwards 1 2 3 5 with the right hand, 5 3 2 1 with the left; from memory, as usual in manuals."""
    downwards = zip((5, 3, 2, 1), (1, 2, 3, 5), strict=True)
    assert [row["name"] for row in choices("seventh-voice")] == ["top", "second", "third", "bottom"]
    assert [row["fingers"] for row in choices("seventh-voice")] == [
        f"right hand {right}, left hand {left}" for right, left in downwards
    ]


@pytest.mark.parametrize("name", KEYS)
def test_seventh_chords_and_sixths_of_a_major_key_are_no_wider_than_is_said(name: str) -> None:
    pitches = key_of(name).getPitches("C3", "C6")
    for exercise, steps in (("four-note-voicing", 6), ("double-sixths", 5)):
        spans = {Interval(low, high).semitones for low, high in zip(pitches, pitches[steps:], strict=False)}
        assert max(spans) == entries()[f"piano.{exercise}"]["widest_interval_semitones"]


@pytest.mark.parametrize("name", KEYS)
def test_double_sixths_begin_a_minor_sixth_below_the_tonic(name: str) -> None:
    key = key_of(name)
    (line,) = details(material("piano.double-sixths", keys=[name])).values()
    assert line == f"first {KEYS[name]['third']} with {KEYS[name]['label']} above it"
    tonic_above = key.pitchFromDegree(1).transpose("P8")
    assert Interval(key.pitchFromDegree(3), tonic_above).name == "m6"


def test_a_reduction_says_how_the_parts_sound() -> None:
    for name, part, words in [
        ("strings", "Contrabass", "double basses an octave lower than written"),
        ("strings-and-horns", "Horn", "horns in F a perfect fifth lower than written"),
        ("woodwind", "Clarinet", "clarinets in B flat a major second lower than written"),
    ]:
        (row,) = (each for each in choices("reduction") if each["name"] == name)
        assert words in row["how"]
        transposition = fromString(part).transposition
        size = transposition.niceName.lower().replace("perfect octave", "octave")
        assert f"{size} lower" in words
        assert transposition.semitones < 0


def test_chords_and_rockings_are_as_wide_as_they_say() -> None:
    sizes = {
        "third": "M3",
        "fourth": "P4",
        "fifth": "P5",
        "sixth": "M6",
        "octave": "P8",
        "ninth": "M9",
        "tenth": "M10",
    }
    for row in (*choices("rocking"), *choices("wide-chord")):
        assert Interval(Pitch("C4"), Pitch(row["highest"])).name == sizes[row["name"]]


def test_scales_apart_begin_that_far_apart() -> None:
    """A third, a sixth and a tenth above C: left hand on C or E, right hand on E, C or E."""
    starts = {"third": ("C3", "E3", "M3"), "sixth": ("E3", "C4", "m6"), "tenth": ("C3", "E4", "M10")}
    for row in choices("distance"):
        left, right, size = starts[row["name"]]
        assert Interval(Pitch(left), Pitch(right)).name == size
        assert (row["below"], row["above"]) == tuple(
            Pitch(each).midi - Pitch("C3").midi for each in (left, right)
        )


def test_unequal_scales_meet_on_every_beat() -> None:
    """Both hands have seven beats up: three notes to the beat over three octaves, two over two, and so on."""
    values = {"two": 2, "three": 3, "four": 4}
    of_values = {"{term.quavers}": 2, "{term.triplet_quavers}": 3, "{term.semiquavers}": 4}
    for row in choices("unequal"):
        octaves = [values[each] for each in re.findall("two|three|four", row["label"])]
        a_beat = [of_values[each] for each in re.findall(r"{[a-z._]+}", row["values"])]
        assert [7 * count / beat for count, beat in zip(octaves, a_beat, strict=True)] == [7, 7]
        assert (row["notes"], row["per_beat"]) == (14 * max(octaves) + 1, max(a_beat))
        # The right hand begins an octave above the left one.
        assert row["top"] == max(12 * octaves[0], 12 * octaves[1] - 12)
