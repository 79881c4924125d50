"""Every legal setting gives units that last as long as what is played, inside the guitar's range, or is refused."""

import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.contract import BarTiming, Material, NoteTiming, PlainTiming, Timing
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.plugins.guitar.lengths import LENGTHS, expected_lengths
from tests.plugins.guitar.loaded import instruments, material, own_exercises

EACH = pytest.mark.parametrize("name", list(LENGTHS))
Schema = Mapping[str, Any]


def exact(timing: Timing) -> Fraction:
    match timing:
        case NoteTiming():
            beats = Fraction(timing.notes) / Fraction(timing.notes_per_beat)
        case BarTiming():
            beats = Fraction(timing.bars) * Fraction(timing.beats_per_bar)
        case PlainTiming():
            return Fraction(timing.seconds)
    return beats * 60 / Fraction(timing.bpm) * timing.passes + Fraction(timing.pause_seconds)


def properties(name: str) -> Mapping[str, Schema]:
    found: Mapping[str, Schema] = own_exercises()[name].settings_schema["properties"]
    return found


def bounds(schema: Schema) -> list[Any]:
    """The least and the greatest that a schema accepts."""
    match schema["type"]:
        case "integer":
            return [schema["minimum"], schema["maximum"]]
        case "array" if "enum" in schema["items"]:
            values = schema["items"]["enum"]
            return [values[:1], values[-schema["maxItems"] :]]
        case "array":
            return [[each] for each in bounds(schema["items"])]
        case _:
            return [schema["enum"][0], schema["enum"][-1]] if "enum" in schema else ["x", "x" * 40]


def at_bounds(name: str) -> Iterator[Mapping[str, Any]]:
    """The defaults; each setting alone at its bounds; all of them at theirs."""
    defaults = own_exercises()[name].defaults
    yield defaults
    for setting, schema in properties(name).items():
        yield from ({**defaults, setting: value} for value in bounds(schema))
    for side in (0, 1):
        yield {setting: bounds(schema)[side] for setting, schema in properties(name).items()}


def legal(schema: Schema) -> st.SearchStrategy[Any]:
    match schema["type"]:
        case "integer":
            return st.integers(schema["minimum"], schema["maximum"])
        case "array":
            return st.lists(legal(schema["items"]), min_size=1, max_size=schema["maxItems"], unique=True)
        case _:
            return st.sampled_from(schema["enum"]) if "enum" in schema else st.just("A waltz")


def can_be_a_unit(seconds: Fraction) -> bool:
    """5 to 600 seconds, rounded up to whole ones as every unit is counted."""
    return 5 <= math.ceil(seconds) <= 600


def made_or_refused(name: str, chosen: Mapping[str, Any]) -> Material | None:
    """The material, whose lengths are those of the music; None where it is rightly refused."""
    assert instruments().settings_errors(f"guitar.{name}", chosen) == ()
    expected = expected_lengths(name, chosen)
    try:
        made = material(name, chosen)
    except InvalidInputError:
        # There is no other reason: `test_pitches_stay_on_every_guitar` holds the range.
        assert not all(map(can_be_a_unit, expected.values()))
        return None
    assert {unit.id: exact(unit.timing) for unit in made.units} == expected
    assert all(map(can_be_a_unit, expected.values()))
    return made


def test_every_own_exercise_has_its_length() -> None:
    assert set(LENGTHS) == set(own_exercises())


@EACH
def test_lengths_at_the_bounds(name: str) -> None:
    made = [made_or_refused(name, chosen) for chosen in at_bounds(name)]
    assert made[0] is not None


@EACH
@settings(deadline=None, max_examples=20)
@given(data=st.data())
def test_lengths_of_any_settings(name: str, data: st.DataObject) -> None:
    chosen = {setting: data.draw(legal(schema)) for setting, schema in properties(name).items()}
    made = made_or_refused(name, chosen)
    event(f"refused: {made is None}")


@EACH
def test_pitches_stay_on_every_guitar(name: str) -> None:
    (guitar,) = instruments().instruments
    assert guitar.lowest_pitch is not None
    assert guitar.highest_pitch is not None
    for chosen in at_bounds(name):
        made = made_or_refused(name, chosen)
        for unit in () if made is None else made.units:
            low = unit.lowest_pitch or guitar.lowest_pitch
            high = unit.highest_pitch or guitar.highest_pitch
            assert guitar.lowest_pitch <= low <= high <= guitar.highest_pitch


@pytest.mark.parametrize(
    ("name", "chosen", "seconds"),
    # By hand. Two octaves are 29 notes: 14.5 beats in quavers, 14.5 s at 60, and 3 s after each of two.
    [
        ("major-scales", {"keys": ["g-major"], "bpm": 60, "passes": 2}, 35),
        # Four bars of 4/4 at 96 are 10 s; 8 s of rest after each of three.
        ("tremolo", {"strings": ["string-1"], "bars": 4, "bpm": 96, "passes": 3}, 54),
        # Six beats at 60, ten seconds of rest, three times.
        ("barre-chords", {"chords": ["bm"], "bpm": 60, "passes": 3}, 48),
        # Twelve bars of chords and twelve of solo at 96: 60 s.
        ("blues", {"keys": ["a"], "bpm": 96, "passes": 1}, 60),
        # p-i-m-a sixteen times is 64 notes, 16 beats: 16 s at 60; 2 s after.
        ("arpeggio", {"patterns": ["p-i-m-a"], "times": 16, "bpm": 60, "passes": 1}, 18),
        # Fifteen pairs up and fourteen down, two a second at 60: 14.5 s; 4 s after each of two.
        ("long-double-notes", {"intervals": ["tenths-in-f"], "bpm": 60, "passes": 2}, 37),
        # Eleven strings there and back, two groups of four on each: 88 notes, 22 s at 60; 8 s after each of two.
        ("slur-chains", {"chains": ["1-2-4-1"], "bpm": 60, "passes": 2}, 60),
        # Ten notes, three a second at 60: 3 1/3 s; 8 s after each of three.
        ("crossing-bursts", {"runs": ["low-six-to-three"], "bpm": 60, "passes": 3}, 34),
        # Eight notes up and seven down, one a second at 60; 3 s after each of four.
        ("harmonics-over-bass", {"scales": ["a-major"], "bpm": 60, "passes": 4}, 72),
    ],
)
def test_worked_by_hand(name: str, chosen: Mapping[str, Any], seconds: int) -> None:
    (unit,) = material(name, {**own_exercises()[name].defaults, **chosen}).units
    assert time_of(unit.timing).seconds == seconds
