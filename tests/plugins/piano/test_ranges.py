"""The lowest and highest key of what code makes, against the scales and chords of music21.

Common practice, no source: the right hand starts in the octave of middle C, or an octave below for three octaves
and more, and the left hand an octave below the right.
"""

from collections.abc import Iterable, Mapping

import pytest
from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral

from tests.plugins.piano.keys_of_music21 import MAJOR_KEYS, MINOR_KEYS, for_music21
from tests.plugins.piano.loaded import material

OCTAVES = (1, 2, 3, 4)
# From the right hand's first octave: where each hand that plays starts.
STARTS: Mapping[str, tuple[int, ...]] = {
    "right": (0,),
    "left": (-1,),
    "together": (-1, 0),
    "separately": (-1, 0),
}
KEYS_OF_MODES = [("major", key) for key in MAJOR_KEYS] + [("minor", key) for key in MINOR_KEYS]


def reach_of(exercise: str, **settings: object) -> tuple[int | None, int | None]:
    """The ends of the only unit."""
    (unit,) = material(exercise, **settings).units
    return unit.lowest_pitch, unit.highest_pitch


def ends(pitches: Iterable[Pitch], starts: Iterable[int] = (0,)) -> tuple[int, int]:
    """The ends of notes that each hand plays so many octaves from where they stand."""
    every = [each.midi + 12 * start for each in pitches for start in starts]
    return min(every), max(every)


def degrees(mode: str, tonic: Pitch, *numbers: int) -> list[Pitch]:
    """Notes of a scale, 1 being its tonic and 8 the octave."""
    notes = Key(tonic.name, mode).getPitches(tonic, tonic.transpose(60))
    return [notes[number - 1] for number in numbers]


def start(octaves: int) -> int:
    return 4 if octaves <= 2 else 3


@pytest.mark.parametrize("hands", STARTS)
@pytest.mark.parametrize("octaves", OCTAVES)
@pytest.mark.parametrize("key", MAJOR_KEYS)
def test_major_scales(key: str, octaves: int, hands: str) -> None:
    tonic = Pitch(f"{for_music21(key)}{start(octaves)}")
    run = degrees("major", tonic, 1, 7 * octaves + 1)
    assert reach_of("piano.major-scale", keys=[key], octaves=octaves, hands=hands, passes=1) == ends(
        run, STARTS[hands]
    )


@pytest.mark.parametrize("octave", [2, 3, 4, 5])
def test_scales_start_where_they_are_told_to(octave: int) -> None:
    run = degrees("major", Pitch(f"C{octave}"), 1, 15)
    assert reach_of("piano.major-scale", keys=["C"], right_hand_octave=octave) == ends(run, (-1, 0))


@pytest.mark.parametrize("form", ["natural", "harmonic", "melodic"])
@pytest.mark.parametrize("octaves", OCTAVES)
@pytest.mark.parametrize("key", MINOR_KEYS)
def test_minor_scales(key: str, octaves: int, form: str) -> None:
    run = degrees("minor", Pitch(f"{for_music21(key)}{start(octaves)}"), 1, 7 * octaves + 1)
    chosen = {"keys": [key], "forms": [form], "octaves": octaves, "passes": 1}
    assert reach_of("piano.minor-scale", **chosen) == ends(run, (-1, 0))


@pytest.mark.parametrize("octaves", [1, 2])
@pytest.mark.parametrize("key", MAJOR_KEYS)
def test_contrary_motion_goes_as_far_both_ways(key: str, octaves: int) -> None:
    tonic = Pitch(f"{for_music21(key)}4")
    out = [tonic.transpose(-12 * octaves), tonic.transpose(12 * octaves)]
    assert reach_of("piano.contrary-motion-scale", keys=[key], octaves=octaves) == ends(out)


@pytest.mark.parametrize("hands", STARTS)
@pytest.mark.parametrize("note", ["C", "F#", "Bb", "B"])
def test_chromatic_scales(note: str, hands: str) -> None:
    first = Pitch(f"{for_music21(note)}4")
    run = [first, first.transpose(24)]
    assert reach_of("piano.chromatic-scale", starting_notes=[note], hands=hands) == ends(run, STARTS[hands])


@pytest.mark.parametrize("hands", STARTS)
@pytest.mark.parametrize("key", MAJOR_KEYS)
def test_scales_in_octaves_reach_an_octave_further(key: str, hands: str) -> None:
    run = degrees("major", Pitch(f"{for_music21(key)}4"), 1, 15)
    assert reach_of("piano.octaves", keys=[key], octaves=1, hands=hands) == ends(run, STARTS[hands])


@pytest.mark.parametrize(
    ("chord", "figure", "mode", "keys"),
    [
        ("major", "I", "major", MAJOR_KEYS),
        ("minor", "i", "minor", MINOR_KEYS),
        ("dominant-seventh", "V7", "major", MAJOR_KEYS),
        ("diminished-seventh", "viio7", "minor", MINOR_KEYS),
    ],
)
@pytest.mark.parametrize("octaves", OCTAVES)
def test_arpeggios(chord: str, figure: str, mode: str, keys: tuple[str, ...], octaves: int) -> None:
    for key in keys:
        names = [each.name for each in RomanNumeral(figure, Key(for_music21(key), mode)).pitches]
        for position, name in zip(("root", "first-inversion", "second-inversion"), names, strict=False):
            lowest = Pitch(f"{name}{start(octaves)}")
            chosen = {"keys": [key], "chord": chord, "positions": [position], "octaves": octaves, "passes": 1}
            run = [lowest, lowest.transpose(12 * octaves)]
            assert reach_of("piano.arpeggio", **chosen) == ends(run, (-1, 0)), (key, position)


@pytest.mark.parametrize(("mode", "key"), KEYS_OF_MODES)
def test_broken_chords_end_with_the_top_group(mode: str, key: str) -> None:
    """Groups of three from each note of the triad: the last stands on the octave and reaches its fifth."""
    run = degrees(mode, Pitch(f"{for_music21(key)}4"), 1, 8 + 4)
    assert reach_of("piano.broken-chord", keys=[key], mode=mode, octaves=1) == ends(run, (-1, 0))


@pytest.mark.parametrize("hands", STARTS)
@pytest.mark.parametrize(("mode", "key"), KEYS_OF_MODES)
def test_five_fingers_lie_on_five_notes(mode: str, key: str, hands: str) -> None:
    five = degrees(mode, Pitch(f"{for_music21(key)}4"), 1, 5)
    for pattern in ("steps", "thirds", "triad"):
        chosen = {"keys": [key], "mode": mode, "hands": hands, "pattern": pattern}
        assert reach_of("piano.five-finger", **chosen) == ends(five, STARTS[hands])


@pytest.mark.parametrize("key", MAJOR_KEYS)
def test_double_thirds_lie_under_five_fingers(key: str) -> None:
    five = degrees("major", Pitch(f"{for_music21(key)}4"), 1, 5)
    assert reach_of("piano.double-thirds", keys=[key]) == ends(five, (-1, 0))


@pytest.mark.parametrize("hands", STARTS)
@pytest.mark.parametrize("note", "CDEFGAB")
def test_trills_go_to_the_white_key_above(note: str, hands: str) -> None:
    """The next note of C major, whose scale is the white keys."""
    lower = Pitch(f"{note}4")
    place = "CDEFGAB".index(note)
    upper = degrees("major", Pitch("C4"), place + 2)
    chosen = {"finger_pairs": ["2-3"], "lower_note": note, "hands": hands}
    assert reach_of("piano.trill", **chosen) == ends([lower, *upper], STARTS[hands])


@pytest.mark.parametrize("hands", ["right", "left", "separately"])
@pytest.mark.parametrize("note", "CDEFGAB")
def test_repeated_notes_stay_on_one_key(note: str, hands: str) -> None:
    chosen = {"fingers": ["2-1"], "note": note, "hands": hands}
    assert reach_of("piano.repeated-notes", **chosen) == ends([Pitch(f"{note}4")], STARTS[hands])


def test_the_warm_up_lies_where_its_text_puts_the_hands() -> None:
    for unit in material("piano.warm-up").units:
        assert (unit.lowest_pitch, unit.highest_pitch) == (Pitch("C3").midi, Pitch("G4").midi)
