"""Cadences: their chords against music21's Roman numerals, their parts against its check of voice-leading.

The rules of part-writing are the usual ones of harmony books (from memory): no parallel fifths or octaves, a
shared note stays in its voice, the leading note of a minor key does not fall by an augmented second.
"""

from itertools import combinations

import pytest
from bagatelle_piano.cadences import CADENCES, Cadence, Voicing, cadence_voiced
from bagatelle_piano.keys import Mode, key_names
from bagatelle_piano.pitches import spelling_name, spelling_of
from music21.interval import Interval
from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral
from music21.voiceLeading import VoiceLeadingQuartet

from tests.plugins.piano.keys_of_music21 import for_music21
from tests.plugins.piano.loaded import details, material, said

CADENCE_FIGURES: dict[Mode, dict[Cadence, tuple[str, str]]] = {
    "major": {
        "perfect": ("V", "I"),
        "plagal": ("IV", "I"),
        "imperfect": ("I", "V"),
        "interrupted": ("V", "vi"),
    },
    "minor": {
        "perfect": ("V", "i"),
        "plagal": ("iv", "i"),
        "imperfect": ("i", "V"),
        "interrupted": ("V", "VI"),
    },
}


EVERY = [(mode, cadence, key) for mode in CADENCE_FIGURES for cadence in CADENCES for key in key_names(mode)]


@pytest.mark.parametrize(("mode", "cadence", "key"), EVERY)
def test_chords_are_those_of_the_roman_numerals(mode: Mode, cadence: Cadence, key: str) -> None:
    for figure, voicing in zip(CADENCE_FIGURES[mode][cadence], voiced(mode, cadence, key), strict=True):
        numeral = RomanNumeral(figure, Key(for_music21(key), mode))
        assert for_music21(spelling_name(voicing.bass)) == numeral.root().name
        assert {for_music21(spelling_name(each)) for each in (voicing.bass, *voicing.right)} == {
            pitch.name for pitch in numeral.pitches
        }


@pytest.mark.parametrize(("mode", "cadence", "key"), EVERY)
def test_voices_move_as_part_writing_asks(mode: Mode, cadence: Cadence, key: str) -> None:
    first, second = voiced(mode, cadence, key)
    before = in_close_position(first)
    after = nearest(before, second)
    bass_before = Pitch(f"{for_music21(spelling_name(first.bass))}3")
    bass_after = Pitch(f"{for_music21(spelling_name(second.bass))}3")
    if bass_after.ps - bass_before.ps > 7:
        bass_after.octave = 2
    voices = [(bass_before, bass_after), *zip(before, after, strict=True)]
    for (low, low_after), (high, high_after) in combinations(voices, 2):
        quartet = VoiceLeadingQuartet(high, high_after, low, low_after)
        assert not quartet.parallelFifth()
        assert not quartet.parallelOctave()
        assert not quartet.parallelUnison()
    shared = set(first.right) & set(second.right)
    assert all(b == a for a, b in zip(first.right, second.right, strict=True) if a in shared)
    for one, other in zip(before, after, strict=True):
        step = Interval(one, other)
        assert abs(step.semitones) <= 4
        assert not step.name.startswith("A") or step.name == "A1"
    assert [pitch.ps for pitch in after] == sorted(pitch.ps for pitch in after)


def test_the_check_of_parallels_finds_them_between_chords_in_root_position() -> None:
    """C E G over C to G B D over G: the fifth C-G goes to the fifth G-D."""
    quartet = VoiceLeadingQuartet(Pitch("G4"), Pitch("D5"), Pitch("C4"), Pitch("G4"))
    assert quartet.parallelFifth()


def test_interrupted_cadence_goes_down_as_the_bass_steps_up() -> None:
    """G B D over G to E A C over A; in minor only the leading note goes up: E G# B over E to C A A over F."""
    major, minor = voiced("major", "interrupted", "C"), voiced("minor", "interrupted", "A")
    assert [named(each) for each in major] == [("G", "G B D"), ("A", "E A C")]
    assert [named(each) for each in minor] == [("E", "E G# B"), ("F", "C A A")]


def test_they_are_printed_as_they_are_played_and_no_chord_can_be_broken() -> None:
    made = material("piano.cadence", keys=["A"], cadences=["perfect", "interrupted"], bpm=66, passes=2)
    assert details(made)["A"] == (
        "perfect E-G♯-B to E-A-C♯ (bass E to A) and interrupted E-G♯-B to C♯-F♯-A (bass E to F♯)"
    )
    assert said("piano.cadence", "how", made, 1) == (
        "perfect and interrupted; root in the left hand, three notes in the right, minims at crotchet = 66; the "
        "right hand keeps the shared note and moves as little as it can; in the interrupted one it goes down as "
        "the bass steps up"
    )


def voiced(mode: Mode, cadence: Cadence, key: str) -> tuple[Voicing, Voicing]:
    return cadence_voiced(spelling_of(key), mode, cadence)


def named(voicing: Voicing) -> tuple[str, str]:
    return spelling_name(voicing.bass), " ".join(spelling_name(each) for each in voicing.right)


def in_close_position(voicing: Voicing) -> list[Pitch]:
    """The right hand's notes from the octave of middle C, each above the one before."""
    notes: list[Pitch] = []
    for each in voicing.right:
        lowest = notes[-1].ps if notes else 0
        notes.append(next(note for note in in_octaves(each, range(4, 7)) if note.ps > lowest))
    return notes


def nearest(before: list[Pitch], second: Voicing) -> list[Pitch]:
    """Each voice's next note in the octave where it moves least."""
    ways = [
        [(abs(note.ps - at.ps), note) for note in in_octaves(each, range(2, 8))]
        for at, each in zip(before, second.right, strict=True)
    ]
    return [min(way, key=lambda one: one[0])[1] for way in ways]


def in_octaves(spelling: int, octaves: range) -> list[Pitch]:
    return [Pitch(f"{for_music21(spelling_name(spelling))}{octave}") for octave in octaves]
