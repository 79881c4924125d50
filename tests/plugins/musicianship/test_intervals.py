"""Intervals against music21's Interval; pure intervals against the logarithm of their ratios."""

import math
import re
from fractions import Fraction

import pytest
from music21.interval import Interval
from music21.pitch import Pitch

from tests.plugins.musicianship.loaded import Row, choices, entries, names
from tests.plugins.musicianship.spelling import in_words, music21_name
from tests.plugins.musicianship.test_chords import chord_of

NAMES_OF_MUSIC21 = {
    "minor second": "m2",
    "major second": "M2",
    "minor third": "m3",
    "major third": "M3",
    "perfect fourth": "P4",
    "augmented fourth": "A4",
    "diminished fifth": "d5",
    "perfect fifth": "P5",
    "minor sixth": "m6",
    "major sixth": "M6",
    "minor seventh": "m7",
    "major seventh": "M7",
    "octave": "P8",
    "unison": "P1",
}


@pytest.mark.parametrize("given", choices("interval"), ids=lambda given: given["name"])
def test_size_spelling_and_inversion_are_those_of_music21(given: Row) -> None:
    interval = Interval(NAMES_OF_MUSIC21[given["label"]])
    assert given["semitones"] == interval.semitones
    assert given["size"] == f"{interval.semitones} semitone{'s' if interval.semitones > 1 else ''}"
    assert given["above_c"] == f"C to {in_words(interval.transposePitch(Pitch('C4')))}"
    assert given["below_c"] == f"C to {in_words(Interval(f'-{interval.name}').transposePitch(Pitch('C5')))}"
    assert NAMES_OF_MUSIC21[given["turns_into"]] == interval.complement.name


def test_the_list_has_every_size_to_the_octave_and_goes_from_small_to_wide() -> None:
    sizes = [given["semitones"] for given in choices("interval")]
    assert sizes == sorted(sizes)
    assert set(sizes) == set(range(1, 13))


@pytest.mark.parametrize("given", choices("interval-pair"), ids=lambda given: given["name"])
def test_pairs_to_be_told_apart_say_their_sizes(given: Row) -> None:
    """`minor from major thirds`: the second name lends the first what it lacks; a tritone is half an octave."""
    first, second = given["label"].removesuffix("s").split(" from ")
    if first == "minor":
        first = f"minor {second.split()[1]}"
    sizes = [_semitones(each.removesuffix("s")) for each in (first, second)]
    assert given["sizes"] == f"{sizes[0]} or {sizes[1]} semitones"


def _semitones(name: str) -> int:
    if name == "tritone":
        return 6
    full = f"perfect {name}" if name in {"fourth", "fifth"} else name
    return int(Interval(NAMES_OF_MUSIC21[full]).semitones)


@pytest.mark.parametrize("given", choices("pure-interval"), ids=lambda given: given["name"])
def test_a_pure_interval_lies_as_far_from_the_tuner_as_its_ratio_says(given: Row) -> None:
    """Cents are 1200 log2(ratio); the tuner's mark is the nearest semitone of equal temperament."""
    above, below = given["ratio"].split(":")
    cents = 1200 * math.log2(Fraction(int(above), int(below)))
    nearest = 100 * round(cents / 100)
    assert given["cents"] == round(cents - nearest)
    short = {"octave": "P8", "fifth": "P5", "fourth": "P4"}.get(given["label"])
    interval = Interval(short or NAMES_OF_MUSIC21[given["label"]])
    assert nearest == 100 * interval.semitones
    said = re.fullmatch(r"(\d+) cents (above|below) the tuner's mark", given["tuner"])
    if said is None:
        assert (given["tuner"], given["cents"]) == ("on the tuner's mark", 0)
    else:
        assert int(said[1]) * (1 if said[2] == "above" else -1) == given["cents"]


@pytest.mark.parametrize("given", choices("pure-chord"), ids=lambda given: given["name"])
def test_a_chord_on_a_held_note_lies_as_far_from_the_tuner_as_its_ratio_says(given: Row) -> None:
    """Each note against C, which is held: 1200 log2(ratio), less the nearest mark of equal temperament."""
    chord = chord_of(given["notes"])
    kind, member = given["name"].split("-")
    held = {"root": chord.root(), "third": chord.third, "fifth": chord.fifth}[member]
    assert isinstance(held, Pitch)
    assert held.name == "C"
    parts = [int(each) for each in given["ratio"].split(":")]
    place = list(chord.pitches).index(held)
    said = []
    for pitch, part in zip(chord.pitches, parts, strict=True):
        cents = 1200 * math.log2(Fraction(part, parts[place]))
        mark = 100 * round(cents / 100)
        assert mark == 100 * (pitch.ps - held.ps)
        if pitch is not held:
            said.append(f"{in_words(pitch)} {round(cents - mark):+d}")
    assert given["cents"] == ", ".join(said)
    assert given["sung"] == 2 * len(parts) - 1
    called = f"{given['ratio']} seventh chord" if kind == "seventh" else f"{chord.quality} triad"
    where = {"root": "over its root", "third": "round its third", "fifth": "under its fifth"}
    assert given["label"] == f"{called} {where[member]}"


def test_the_usual_figures_of_pure_tuning() -> None:
    """Fifth 701.96, major third 386.31, minor third 315.64 cents: any text on acoustics."""
    cents = {given["name"]: given["cents"] for given in choices("pure-interval")}
    assert (cents["fifth"], cents["major-third"], cents["minor-third"]) == (2, -14, 16)


def test_every_interval_that_a_line_is_read_by_takes_the_article_a() -> None:
    """`read upwards by a major second`."""
    only = entries()["musicianship.transposed-in-the-head"]["settings"]["interval"]["only"]
    assert set(only) <= set(names("interval"))
    assert not any(name[0] in "aeiou" for name in only)


def test_names_are_read_as_music21_writes_them() -> None:
    assert [music21_name(words) for words in ("E flat", "F double sharp", "B")] == ["E-", "F##", "B"]
