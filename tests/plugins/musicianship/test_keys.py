"""Keys, scales, modes and degrees against music21."""

from collections.abc import Callable
from itertools import pairwise

import pytest
from music21.key import Key
from music21.pitch import Pitch
from music21.scale import (
    ConcreteScale,
    Direction,
    DorianScale,
    HarmonicMinorScale,
    LocrianScale,
    LydianScale,
    MajorScale,
    MelodicMinorScale,
    MinorScale,
    MixolydianScale,
    PhrygianScale,
)

from tests.plugins.musicianship.loaded import Row, choices, entries
from tests.plugins.musicianship.spelling import all_in_words, in_words, music21_name, notes_of

MODES: dict[str, Callable[[str], ConcreteScale]] = {
    "Ionian": MajorScale,
    "Dorian": DorianScale,
    "Phrygian": PhrygianScale,
    "Lydian": LydianScale,
    "Mixolydian": MixolydianScale,
    "Aeolian": MinorScale,
    "Locrian": LocrianScale,
}
RAISED: dict[str, Callable[[Pitch], ConcreteScale]] = {
    "harmonic": HarmonicMinorScale,
    "melodic": MelodicMinorScale,
}
SYLLABLES = ["do", "re", "mi", "fa", "so", "la", "ti"]
CHROMATIC_SYLLABLES = {
    **dict(zip("CDEFGAB", SYLLABLES, strict=True)),
    "C#": "di",
    "D#": "ri",
    "F#": "fi",
    "G#": "si",
    "A#": "li",
    "D-": "ra",
    "E-": "me",
    "G-": "se",
    "A-": "le",
    "B-": "te",
}
"""With a movable do, in C (common practice, no source)."""


def key_of(given: Row) -> Key:
    tonic, mode = given["label"].rsplit(" ", 1)
    return Key(music21_name(tonic), mode)


def signature_of(key: Key) -> str:
    letters = [pitch.step for pitch in key.alteredPitches]
    if not letters:
        return "no sharps or flats"
    sign = "sharp" if key.sharps > 0 else "flat"
    return f"{len(letters)} {sign}{'s' if len(letters) > 1 else ''}: {' '.join(letters)}"


@pytest.mark.parametrize("given", choices("major-key"), ids=lambda given: given["name"])
def test_major_keys(given: Row) -> None:
    key = key_of(given)
    assert given["fifths"] == key.sharps
    assert given["signature"] == signature_of(key)
    assert given["relative"] == f"{in_words(key.relative.tonic)} minor"
    tonic, third, subdominant, dominant = (key.pitchFromDegree(degree) for degree in (1, 3, 4, 5))
    assert given["tonic_triad"] == all_in_words([tonic, third, dominant])
    assert (given["subdominant"], given["dominant"]) == (in_words(subdominant), in_words(dominant))


@pytest.mark.parametrize("given", choices("minor-key"), ids=lambda given: given["name"])
def test_minor_keys(given: Row) -> None:
    key = key_of(given)
    assert given["fifths"] == key.sharps
    assert given["signature"] == signature_of(key)
    assert given["relative"] == f"{in_words(key.relative.tonic)} major"
    assert given["leading_note"] == in_words(RAISED["harmonic"](key.tonic).getPitches()[6])
    melodic = RAISED["melodic"](key.tonic).getPitches(direction=Direction.ASCENDING)
    assert given["raised_sixth"] == in_words(melodic[5])
    assert given["tonic_triad"] == all_in_words(key.pitchFromDegree(degree) for degree in (1, 3, 5))


@pytest.mark.parametrize("name", ["major-key", "minor-key"])
def test_keys_come_from_none_to_seven_sharps_then_one_to_seven_flats(name: str) -> None:
    assert [given["fifths"] for given in choices(name)] == [*range(8), *range(-1, -8, -1)]


@pytest.mark.parametrize("given", choices("way-round"), ids=lambda given: given["name"])
def test_ways_round_the_circle_step_by_fifths(given: Row) -> None:
    mode = "minor" if given["name"].startswith("minor") else "major"
    sharps = [Key(name, mode).sharps for name in notes_of(given["keys"])]
    step = 1 if given["name"].endswith("up") else -1
    assert sharps == [step * place for place in range(given["count"])]
    assert given["label"].startswith("up by" if step == 1 else "down by")


@pytest.mark.parametrize("given", choices("mode"), ids=lambda given: given["name"])
def test_modes(given: Row) -> None:
    pitches = MODES[given["label"]]("C").getPitches("C4", "C5")
    assert given["on_c"] == all_in_words(pitches, " ")
    steps = [int(high.ps - low.ps) for low, high in pairwise(pitches)]
    assert given["steps"] == "-".join(str(step) for step in steps)
    assert sum(steps) == 12


@pytest.mark.parametrize("given", choices("mode"), ids=lambda given: given["name"])
def test_a_mode_on_the_white_keys_begins_where_it_is_said(given: Row) -> None:
    begins, ends = given["white"].split(" to ")
    assert begins == ends
    letter = "CDEFGAB"[SYLLABLES.index(begins)]
    pitches = MODES[given["label"]](letter).getPitches(f"{letter}4", f"{letter}5")
    assert all(len(pitch.name) == 1 for pitch in pitches)


def test_what_marks_a_mode_is_where_it_leaves_major_or_minor() -> None:
    """The degrees in which it differs from the scale that it is named after, with music21's intervals."""
    words = {2: "second", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}
    kinds = {1: "minor", 6: "diminished", 9: "major", 10: "minor"}
    for given in choices("mode"):
        base = given["marks"].split(" with ")[0]
        if given["label"] in {"Ionian", "Aeolian"}:
            assert (
                given["marks"]
                == {"Ionian": "the major scale", "Aeolian": "the natural minor scale"}[given["label"]]
            )
            continue
        own = MODES[given["label"]]("C").getPitches("C4", "C5")
        plain = MODES["Ionian" if base == "major" else "Aeolian"]("C").getPitches("C4", "C5")
        marks = []
        for degree, (pitch, other) in enumerate(zip(own, plain, strict=True), start=1):
            if pitch.ps != other.ps:
                size = int(pitch.ps - own[0].ps)
                kind = "augmented" if (degree, size) == (4, 6) else kinds[size]
                marks.append(f"{'an' if kind == 'augmented' else 'a'} {kind} {words[degree]}")
        assert given["marks"] == f"{base} with {' and '.join(marks)}"


def test_degrees_are_the_scale_of_c_with_its_syllables() -> None:
    given = choices("degree")
    assert [row["in_c"] for row in given] == [
        pitch.name for pitch in MODES["Ionian"]("C").getPitches("C4", "B4")
    ]
    assert [row["name"] for row in given] == SYLLABLES
    assert [row["label"] for row in given] == [f"{name} ({place})" for place, name in enumerate(SYLLABLES, 1)]
    assert [row["number"] for row in given] == list(range(1, 8))


@pytest.mark.parametrize("given", choices("degree-row"), ids=lambda given: given["name"])
def test_rows_of_degrees_say_the_same_in_syllables_numbers_and_letters(given: Row) -> None:
    numbers = [int(each) for each in given["degrees"].split()]
    assert [SYLLABLES[number - 1] for number in numbers] == given["label"].split("-")
    assert ["CDEFGAB"[number - 1] for number in numbers] == given["in_c"].split()
    assert given["notes"] == len(numbers)


@pytest.mark.parametrize("given", choices("note-set"), ids=lambda given: given["name"])
def test_sets_of_notes_say_the_same_in_syllables_and_numbers(given: Row) -> None:
    numbers = [int(each) for each in given["degrees"].split()]
    said = given["label"]
    if said == "the whole scale":
        assert numbers == list(range(1, 8))
    elif "steps between" in said:
        assert numbers == list(range(1, 6))
    else:
        assert [SYLLABLES[number - 1] for number in numbers] == said.split()


@pytest.mark.parametrize(("name", "step"), [("rising", 1), ("falling", -1)])
def test_chromatic_rows_go_by_semitones(name: str, step: int) -> None:
    (given,) = [row for row in choices("chromatic-row") if row["name"] == name]
    notes = notes_of(given["from_c"])
    assert [CHROMATIC_SYLLABLES[note] for note in notes] == given["syllables"].split()
    classes = [Key(note).tonic.pitchClass for note in notes]
    assert classes == [(step * place) % 12 for place in range(13)]
    assert not any(("-" in note) if step == 1 else ("#" in note) for note in notes)


def test_the_twelve_roots_of_the_circle_are_all_different() -> None:
    """The roots that the seventh chords are spelled on: by falling fifths, each once."""
    how = entries()["musicianship.sevenths-spelled"]["how"]
    notes = notes_of(how.removeprefix("on ").split(":")[0])
    classes = [Key(note).tonic.pitchClass for note in notes]
    assert classes == [(5 * place) % 12 for place in range(12)]
