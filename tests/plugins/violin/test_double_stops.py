"""Double stops, chords, harmonics and difference tones against intervals, strings and frequencies."""

import math
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest
from music21.chord import Chord
from music21.interval import Interval
from music21.key import Key

from tests.plugins.violin.loaded import choices, material
from tests.plugins.violin.pitches import OPEN_STRINGS, as_written, in_words, midi, pitch, semitones_above

Row = Mapping[str, Any]
STRINGS = tuple(OPEN_STRINGS)
KEYS = {
    "thirds-key": ("M3", "lower", "thirds", 8),
    "sixths-key": ("m6", "upper", "sixths", 8),
    "octaves-key": ("P8", "lower", "octaves", 8),
    "fingered-octaves-key": ("P8", "lower", "fingered-octaves", 5),
    "tenths-key": ("M10", "lower", "tenths", 5),
}
"""The first interval of the scale, where the tonic lies in it, the exercise, and how many steps are climbed."""


def on_neighbouring_strings(lower: str, upper: str) -> bool:
    """Whether two notes lie on two neighbouring strings, neither below its open string."""
    return any(
        semitones_above(STRINGS[each], lower) >= 0 and semitones_above(STRINGS[each + 1], upper) >= 0
        for each in range(3)
    )


@pytest.mark.parametrize("list_name", list(KEYS))
def test_scales_in_double_stops(list_name: str) -> None:
    """Every interval of the scale is diatonic, can be stopped on two strings, and the compass is what is said."""
    first, tonic_in, exercise, steps = KEYS[list_name]
    for row in choices(list_name):
        lower, upper = pitch(row["lower"]), pitch(row["upper"])
        assert Interval(lower, upper).name == first
        tonic = pitch(row[tonic_in])
        assert in_words(tonic) == row["label"].removesuffix(" major")
        above = f"the {in_words(upper)} above" if first == "P8" else in_words(upper)
        assert row["first"] == f"{in_words(lower)} and {above}"
        key = Key(tonic.name, "major")
        low = list(key.getPitches(lower, lower.transpose("P8")))[:steps]
        high = list(key.getPitches(upper, upper.transpose("P8")))[:steps]
        assert all(
            on_neighbouring_strings(as_written(one), as_written(other))
            for one, other in zip(low, high, strict=True)
        )
        (unit,) = material(exercise, keys=[row["name"]]).units
        assert (unit.lowest_pitch, unit.highest_pitch) == (low[0].midi, high[-1].midi)
        assert getattr(unit.timing, "notes", None) == 2 * steps - 1


def test_the_widest_intervals_are_said() -> None:
    """An octave is 12 semitones and a major tenth 16: Interval of music21. The stretch of a touched fourth is 5."""
    from tests.plugins.violin.loaded import entries

    widest = {
        name: entry["widest_interval_semitones"]
        for name, entry in entries().items()
        if "widest_interval_semitones" in entry
    }
    assert widest == {
        "octaves": Interval("P8").semitones,
        "fingered-octaves": Interval("P8").semitones,
        "tenths": Interval("M10").semitones,
        "stopped-harmonics": Interval("P4").semitones,
        "harmonic-scales": Interval("P4").semitones,
    }


def test_stopped_notes_against_open_strings() -> None:
    rows = choices("open-interval")
    assert len(rows) == 12
    for row in rows:
        finger, rest = row["says"].split(" on the ")
        string = rest.split(" string")[0]
        assert row["open"] in OPEN_STRINGS.values()
        assert semitones_above(string, row["stopped"]) == {"1": 2, "3": 5, "4": 7}[finger]
        assert abs(STRINGS.index(string) - list(OPEN_STRINGS.values()).index(row["open"])) == 1
        low, high = sorted((row["stopped"], row["open"]), key=midi)
        assert (row["low"], row["high"]) == (low, high)
        said = Interval(pitch(low), pitch(high)).niceName.lower().replace("perfect unison", "unison")
        assert row["interval"] == said.replace("perfect octave", "octave")
        assert row["says"].endswith(row["interval"])
        assert row["label"] == f"{in_words(pitch(row['stopped']))} with open {row['open'][0]}"


@pytest.mark.parametrize("list_name", ["three-note-chord", "four-note-chord"])
def test_chords_are_what_they_are_called_and_lie_on_neighbouring_strings(list_name: str) -> None:
    for row in choices(list_name):
        columns = (
            ("on_g", "on_d", "on_a", "on_e") if list_name.startswith("four") else ("low", "middle", "high")
        )
        notes = [row[column] for column in columns]
        assert row["notes"] == ", ".join(in_words(pitch(each)) for each in notes)
        chord = Chord([pitch(each) for each in notes])
        root, quality = row["label"].rsplit(" ", 1)
        assert (in_words(chord.root()), chord.quality) == (root, quality)
        first = [
            begin
            for begin in range(len(STRINGS) - len(notes) + 1)
            if all(0 <= semitones_above(STRINGS[begin + each], name) <= 7 for each, name in enumerate(notes))
        ]
        assert first, f"{row['name']} cannot be stopped in first position"


def test_natural_harmonics_follow_the_harmonic_series() -> None:
    """The n-th partial is n times the open string; a finger at 1/n of the string from the nut gives it.

    The note written for that place is what the string stopped there would sound: open / (1 - 1/n). Equal
    temperament is within 14 cents of each of these (the fifth partial is the furthest).
    """
    rows = choices("harmonic")
    assert {(row["string"], row["partial"]) for row in rows} == {
        (string, partial) for string in OPEN_STRINGS for partial in (2, 3, 4, 5)
    }
    for row in rows:
        partial = row["partial"]
        open_frequency = pitch(row["open"]).frequency
        assert row["open"] == OPEN_STRINGS[row["string"]]
        for frequency, name in (
            (open_frequency * partial, row["sounds"]),
            (open_frequency / (1 - 1 / partial), row["touched"]),
        ):
            assert abs(1200 * math.log2(frequency / pitch(name).frequency)) < 14
        touched, sounds = (in_words(pitch(row[column])) for column in ("touched", "sounds"))
        distance = {
            2: "an octave",
            3: "an octave and a fifth",
            4: "two octaves",
            5: "two octaves and a major third",
        }
        assert row["says"] == f"touch {touched}; {sounds} sounds, {distance[partial]} above the open string"
        place = {2: "octave", 3: "fifth", 4: "fourth", 5: "major third"}[partial]
        assert row["label"] == f"{place} on {row['string']}"
        assert Interval(pitch(row["open"]), pitch(row["touched"])).niceName.lower().endswith(place)


def test_artificial_harmonics_sound_two_octaves_above_the_stopped_note() -> None:
    """Touched a fourth above, a quarter of what is left of the string: the fourth partial."""
    for row in choices("stopped-harmonic"):
        notes = row["notes"].split(", ")
        first, last = pitch(row["first"]), pitch(row["last"])
        assert pitch(row["touched"]) == first.transpose("P4")
        assert pitch(row["sounds"]) == first.transpose("P15")
        assert pitch(row["top"]) == last.transpose("P15")
        assert midi(row["top"]) <= midi("A7")
        assert semitones_above(row["name"].upper(), row["first"]) == 2
        assert (in_words(first), in_words(last)) == (notes[0], notes[-1])


def test_scales_in_artificial_harmonics_are_major_and_four_notes_lie_on_each_string() -> None:
    """Frequencies: a fourth above leaves three quarters of the stopped length, so its quarter sounds, 4 times."""
    rows = choices("harmonic-scale")
    assert len(rows) == 6
    for row in rows:
        tonic = pitch(row["first"])
        scale = list(Key(tonic.name, "major").getPitches(tonic, tonic.transpose("P8")))
        assert (row["on_lower"], row["on_upper"]) == (
            ", ".join(in_words(each) for each in scale[:4]),
            ", ".join(in_words(each) for each in scale[4:]),
        )
        assert row["label"] == f"{in_words(tonic)} major on {row['strings']}"
        lower, upper = row["strings"].split("–")
        assert STRINGS.index(upper) - STRINGS.index(lower) == 1
        # The first finger stops every note: none is an open string.
        assert all(semitones_above(lower, as_written(each)) > 0 for each in scale[:4])
        assert all(semitones_above(upper, as_written(each)) > 0 for each in scale[4:])
        assert row["last"] == as_written(scale[-1])
        assert abs(1200 * math.log2(4 * scale[-1].frequency / pitch(row["top"]).frequency)) < 1
        assert midi(row["top"]) <= midi("A7")
        (unit,) = material("harmonic-scales", scales=[row["name"]]).units
        assert (unit.lowest_pitch, unit.highest_pitch) == (midi(row["first"]), midi(row["top"]))
        assert getattr(unit.timing, "notes", None) == 2 * len(scale) - 1


def test_difference_tones_are_the_difference_of_the_frequencies() -> None:
    """Between frequencies p and q (p > q) it is p - q; how far below q, by the ratio q / (p - q)."""
    below = {
        Fraction(3, 2): "a fifth",
        Fraction(5, 3): "a major sixth",
        Fraction(3): "an octave and a fifth",
        Fraction(4): "two octaves",
        Fraction(5): "two octaves and a major third",
    }
    for row in choices("difference-tone"):
        upper, lower = row["upper_ratio"], row["lower_ratio"]
        cents = 1200 * math.log2(upper / lower)
        semitones = next(each["semitones"] for each in choices("interval") if each["name"] == row["name"])
        assert abs(cents - 100 * semitones) < 16
        assert row["below"] == f"{below[Fraction(lower, upper - lower)]} below the lower note"


def test_intervals_have_the_semitones_of_music21() -> None:
    short = {"minor": "m", "major": "M", "perfect": "P"}
    degrees = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7}
    for row in choices("interval"):
        if row["label"] in {"tritone", "octave"}:
            assert (
                row["semitones"]
                == {"tritone": Interval("A4"), "octave": Interval("P8")}[row["label"]].semitones
            )
            continue
        kind, degree = row["label"].split(" ")
        assert row["semitones"] == Interval(f"{short[kind]}{degrees[degree]}").semitones
