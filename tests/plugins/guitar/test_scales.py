"""Fingerings of scales and arpeggios, counted out fret by fret, against the scales of music21."""

import itertools
import re
from collections.abc import Callable, Mapping

import pytest
from music21.chord import Chord
from music21.key import Key
from music21.pitch import Pitch
from music21.scale import (
    DiatonicScale,
    Direction,
    HarmonicMinorScale,
    MajorScale,
    MelodicMinorScale,
    MinorScale,
)

from tests.plugins.guitar.frets import (
    OCTAVE,
    OPEN,
    POSITIONS,
    by_fingers,
    by_strings,
    midi,
    position_number,
    shown,
    strings_of,
    tonic,
)
from tests.plugins.guitar.loaded import Row, choices, documents

SCALES: Mapping[str, Callable[[Pitch], DiatonicScale]] = {
    "major": MajorScale,
    "natural": MinorScale,
    "harmonic": HarmonicMinorScale,
    "melodic": MelodicMinorScale,
}
SIX_STRINGS = (6, 5, 4, 3, 2, 1)
# In semitones, from any theory of music: minor pentatonic, and the modes by the degree on which each begins.
MINOR_PENTATONIC = (0, 3, 5, 7, 10)
MODES = ("ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian")


def scale(label: str, kind: str, lowest: int, octaves: int) -> list[Pitch]:
    """The notes going up, as music21 spells them."""
    name = tonic(label)
    start = next(Pitch(f"{name}{octave}") for octave in range(2, 7) if midi_of(name, octave) == lowest)
    top = Pitch(f"{name}{(start.octave or 0) + octaves}")
    return list(SCALES[kind](start).getPitches(start, top, direction=Direction.ASCENDING))


def midi_of(name: str, octave: int) -> int:
    return int(Pitch(f"{name}{octave}").midi)


def numbers(pitches: list[Pitch]) -> list[int]:
    return [int(pitch.midi) for pitch in pitches]


def fingers_in_how(exercise: str) -> str:
    """The fingering that stands in the sentence of an exercise."""
    (entry,) = (
        each for document in documents() for each in document.get("exercise", ()) if each["name"] == exercise
    )
    found = re.search(r"fingers ((?:[\d-]+, ){5}[\d-]+)", entry["how"])
    assert found is not None
    return found[1]


@pytest.mark.parametrize("row", choices("open-scale").values(), ids=lambda row: row["name"])
def test_scales_with_open_strings(row: Row) -> None:
    strings = range(row["first_string"], row["last_string"] - 1, -1)
    played = by_strings(row["fingers"], strings)
    expected = scale(row["label"], row["kind"], midi(row["lowest"]), 1)
    assert played == numbers(expected)
    assert row["notes"].split(" ") == [shown(each) for each in expected[:-1]]
    assert midi(row["highest"]) == midi(row["lowest"]) + OCTAVE
    kinds = {"major": "major", "natural": "natural minor", "harmonic": "harmonic minor"}
    assert row["label"].endswith(kinds[row["kind"]])


@pytest.mark.parametrize("row", choices("major-key").values(), ids=lambda row: row["name"])
@pytest.mark.parametrize("exercise", ["major-scales", "scale-rhythms"])
def test_major_scales_in_a_position(row: Row, exercise: str) -> None:
    # Finger 2 begins on the key note, so the position is a fret below it.
    assert POSITIONS[row["fret"] - 1] == row["position"]
    assert OPEN[6] + row["fret"] == midi(row["lowest"])
    expected = scale(row["label"], "major", midi(row["lowest"]), 2)
    played = by_fingers(fingers_in_how(exercise), SIX_STRINGS, position_number(row["position"]))
    assert played == numbers(expected)
    assert row["notes"].split(" ") == [shown(each) for each in expected[:7]]


def minor_scale(words: str, fret: int) -> list[int]:
    """Pitches by the words of a form: finger 1 begins at the fret of the key note."""
    played: list[int] = []
    position = fret
    for part in words.split("; "):
        if part == "down as natural":
            continue
        shift, _, rest = part.rpartition(", string")
        position = {"": position, "a fret back": fret - 1, "forward again": fret}[shift]
        strings, groups = (rest if shift else part.removeprefix("string")).split(": ")
        played += by_fingers(groups, strings_of(strings), position)
    return played


@pytest.mark.parametrize("form", choices("minor-form").values(), ids=lambda row: row["name"])
@pytest.mark.parametrize("key", choices("minor-key").values(), ids=lambda row: row["name"])
def test_minor_scales(form: Row, key: Row) -> None:
    assert form["label"] == f"{form['name']} minor"
    assert (POSITIONS[key["fret"]], POSITIONS[key["fret"] - 1]) == (key["position"], key["back"])
    assert OPEN[6] + key["fret"] == midi(key["lowest"])
    expected = scale(key["label"], form["name"], midi(key["lowest"]), 2)
    assert minor_scale(form["fingers"], key["fret"]) == numbers(expected)


@pytest.mark.parametrize("row", choices("long-scale").values(), ids=lambda row: row["name"])
def test_major_scales_in_three_octaves(row: Row) -> None:
    assert OPEN[6] + row["fret"] == midi(row["lowest"])
    played: list[int] = []
    for part in row["fingers"].split("; "):
        position, rest = part.split(", string", 1)
        strings, groups = rest.split(": ")
        played += by_fingers(groups, strings_of(strings), position_number(position))
    assert played == numbers(scale(row["label"], "major", midi(row["lowest"]), 3))
    assert max(played) <= OPEN[1] + 19


@pytest.mark.parametrize("row", choices("key-arpeggio").values(), ids=lambda row: row["name"])
def test_arpeggios_in_a_position(row: Row) -> None:
    name, mode = row["label"].rsplit(" ", 1)
    key = Key(tonic(name), mode)
    triad = {pitch.pitchClass for pitch in Chord([key.tonic, *key.pitches[2:5:2]]).pitches}
    lowest = midi(row["lowest"])
    expected = [pitch for pitch in range(lowest, lowest + 2 * OCTAVE + 1) if pitch % OCTAVE in triad]
    assert by_fingers(row["fingers"], SIX_STRINGS, position_number(row["position"])) == expected
    assert lowest % OCTAVE == key.tonic.pitchClass
    assert OPEN[6] + row["fret"] == lowest


@pytest.mark.parametrize("row", choices("pentatonic-shape").values(), ids=lambda row: row["name"])
def test_pentatonic_shapes_leave_no_note_out(row: Row) -> None:
    assert row["label"] == row["name"].replace("-", " ")
    played = by_strings(row["frets"], SIX_STRINGS)
    scale_of_a = {(Pitch("A").pitchClass + step) % OCTAVE for step in MINOR_PENTATONIC}
    expected = [pitch for pitch in range(played[0], played[-1] + 1) if pitch % OCTAVE in scale_of_a]
    assert played == expected
    assert (midi(row["lowest"]), midi(row["highest"])) == (played[0], played[-1])


def test_pentatonic_shapes_follow_each_other_up_the_neck() -> None:
    # The upper frets of each are the lower ones of the next; the fifth stands an octave lower, below the first.
    rows = list(choices("pentatonic-shape").values())
    frets = [[[int(n) for n in group.split("-")] for group in row["frets"].split(", ")] for row in rows]
    for low, high in itertools.pairwise(frets):
        raised = OCTAVE if high[0][0] < low[0][0] else 0
        assert [group[1] for group in low] == [group[0] + raised for group in high]


@pytest.mark.parametrize("row", choices("pentatonic-key").values(), ids=lambda row: row["name"])
def test_one_pentatonic_shape_through_the_keys(row: Row) -> None:
    lowest = midi(row["lowest"])
    assert OPEN[6] + row["fret"] == lowest
    assert POSITIONS[row["fret"]] == row["position"]
    natural = scale(row["label"], "natural", lowest, 1)
    assert row["notes"].split(" ") == [shown(natural[degree]) for degree in (0, 2, 3, 4, 6)]
    notes = {(lowest + step) % OCTAVE for step in MINOR_PENTATONIC}
    expected = [pitch for pitch in range(lowest, lowest + 28) if pitch % OCTAVE in notes]
    assert by_fingers(fingers_in_how("pentatonic-keys"), SIX_STRINGS, row["fret"]) == expected


@pytest.mark.parametrize("row", choices("mode").values(), ids=lambda row: row["name"])
def test_modes_have_three_notes_a_string(row: Row) -> None:
    degree = MODES.index(row["name"])
    major = [pitch.pitchClass for pitch in scale("G major", "major", midi("G3"), 1)[:7]]
    played = by_strings(row["frets"], SIX_STRINGS)
    assert len(played) == 18
    assert played == [pitch for pitch in range(played[0], played[-1] + 1) if pitch % OCTAVE in major]
    assert played[0] % OCTAVE == major[degree]
    assert (midi(row["lowest"]), midi(row["highest"])) == (played[0], played[-1])
    assert row["label"] == f"{Pitch(major[degree]).name.replace('#', ' sharp')} {row['name'].capitalize()}"


@pytest.mark.parametrize("row", choices("double-stop").values(), ids=lambda row: row["name"])
def test_double_stops_are_two_scales_at_once(row: Row) -> None:
    pairs = [tuple(int(fret) for fret in pair.split("-")) for pair in row["frets"].split(", ")]
    lower = [OPEN[row["lower_string"]] + fret for fret, _ in pairs]
    upper = [OPEN[row["upper_string"]] + fret for _, fret in pairs]
    assert row["label"] == f"{row['name']} in {row['key']}"
    steps = {"thirds": 2, "sixths": 5, "octaves": 7, "tenths": 9}[row["name"]]
    notes = numbers(scale(row["key"], "major", lower[0], 3))
    assert lower == notes[:8]
    assert upper == notes[steps : steps + 8]
    assert (midi(row["lowest"]), midi(row["highest"])) == (lower[0], upper[-1])
    assert row["strings"] == f"strings {row['lower_string']} and {row['upper_string']}"


@pytest.mark.parametrize("row", choices("long-double-note").values(), ids=lambda row: row["name"])
def test_double_notes_in_two_octaves(row: Row) -> None:
    lower: list[int] = []
    upper: list[int] = []
    for part in row["frets"].split("; "):
        strings, pairs = part.removeprefix("strings ").split(": ")
        low, high = (int(string) for string in strings.split(" and "))
        frets = [[int(fret) for fret in pair.split("-")] for pair in pairs.split(", ")]
        lower += [OPEN[low] + below for below, _ in frets]
        upper += [OPEN[high] + above for _, above in frets]
        # Every note is stopped, so that the hand moves as it does in any key.
        assert all(1 <= fret <= 19 for pair in frets for fret in pair)
    assert row["label"] == f"{row['interval']} in {row['key']}"
    assert row["name"] == row["label"].replace(" ", "-").lower()
    steps = {"thirds": 2, "sixths": 5, "octaves": 7, "tenths": 9}[row["interval"]]
    notes = numbers(scale(row["key"], "major", midi(row["lowest"]), 4))
    assert lower == notes[:15]
    assert upper == notes[steps : steps + 15]
    assert midi(row["highest"]) == upper[-1]


@pytest.mark.parametrize("row", choices("burst-run").values(), ids=lambda row: row["name"])
def test_bursts_cross_three_strings_and_end_on_a_fourth(row: Row) -> None:
    _, first, _, last, _, _, fret = row["label"].split(" ")
    strings = range(int(first), int(last) - 1, -1)
    played = by_strings(row["frets"], strings)
    assert [len(group.split("-")) for group in row["frets"].split(", ")] == [3, 3, 3, 1]
    assert row["frets"].startswith(f"{fret}-")
    classes = {pitch.pitchClass for pitch in scale("G major", "major", midi("G3"), 1)}
    assert played == [pitch for pitch in range(played[0], played[-1] + 1) if pitch % OCTAVE in classes]
    assert (midi(row["lowest"]), midi(row["highest"])) == (played[0], played[-1])


@pytest.mark.parametrize("row", choices("harmonic-scale").values(), ids=lambda row: row["name"])
def test_harmonics_are_a_scale_and_each_bass_the_root_of_a_chord_of_its_key(row: Row) -> None:
    assert row["name"] == row["label"].replace(" ", "-").lower()
    notes = scale(row["label"], row["kind"], midi("A4"), 1)
    assert by_strings(row["frets"], (3, 2, 1)) == numbers(notes)
    # Touched twelve frets higher, still on the neck, and an octave above what is stopped.
    assert max(int(fret) for fret in re.findall(r"\d+", row["frets"])) + 12 <= 19
    basses = [OPEN[int(string)] for string in row["basses"].split(", ")]
    names = [pitch.pitchClass for pitch in notes[:7]]
    for bass, note in zip(basses, notes, strict=True):
        degree = names.index(bass % OCTAVE)
        assert note.pitchClass in {names[(degree + step) % 7] for step in (0, 2, 4)}
    assert (min(basses), max(numbers(notes)) + OCTAVE) == (midi("E3"), midi("A6")) == (52, 93)
