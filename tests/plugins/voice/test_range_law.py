"""Law: no legal settings take an exercise out of its voice's range; units are as wide as their patterns."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.plugins.piano.schemas import legal
from tests.plugins.voice.degrees import (
    FIVE,
    FIVE_DOWN,
    OCTAVE_ARPEGGIO,
    TRIAD,
    above_held_note,
    above_keynote,
    midi,
    semitones,
)
from tests.plugins.voice.loaded import choices, complete, exercises, instruments, material

Settings = Mapping[str, Any]
WITH_A_VOICE: Final = [
    name for name, entry in exercises().items() if "voice" in entry.settings_schema["properties"]
]

# By exercise: from the lowest note of a unit to the highest, by the degrees or the words of its texts.
SPANS: Final[Mapping[str, Callable[[Settings, str], int]]] = {
    "humming-thirds": lambda s, _: above_keynote(3) + s["keys"] - 1,
    **dict.fromkeys(
        ("trilled-fives", "legato-line", "first-passage"), lambda s, _: semitones(FIVE) + s["keys"] - 1
    ),
    **dict.fromkeys(
        ("fives-from-above", "soft-singing", "young-fives"),
        lambda s, _: semitones(FIVE_DOWN) + s["keys"] - 1,
    ),
    **dict.fromkeys(("second-passage", "mixed-calls"), lambda s, _: semitones(TRIAD) + s["keys"] - 1),
    "five-notes": lambda s, _: semitones(choices("five-pattern")[s["pattern"]]["label"]) + s["keys"] - 1,
    "octave-patterns": lambda s, _: (
        semitones(choices("octave-pattern")[s["pattern"]]["label"]) + s["keys"] - 1
    ),
    "leaps": lambda s, _: semitones(choices("leap")[s["leap"]]["label"]) + s["keys"] - 1,
    "runs": lambda s, _: semitones(choices("run")[s["run"]]["label"]) + s["keys"] - 1,
    "agility-by-tempo": lambda s, _: semitones(choices("run")[s["run"]]["label"]) + s["keys"] - 1,
    "twelfths": lambda s, _: semitones(choices("twelfth-pattern")[s["pattern"]]["label"]) + s["keys"] - 1,
    "staccato": lambda s, _: semitones(OCTAVE_ARPEGGIO) + s["keys"] - 1,
    "ng-sirens": lambda s, _: above_keynote(8) + s["keys"] - 1,
    "sol-fa-scales": lambda s, _: above_keynote(8) + s["keys"] - 1,
    "chromatic-fives": lambda s, _: above_keynote(5) + s["keys"] - 1,
    "vowels-at-the-top": lambda s, _: above_keynote(5) + s["keys"] - 1,
    "young-hums": lambda _s, _: above_keynote(5),
    **dict.fromkeys(
        (
            "nasal-to-vowel",
            "vowel-chain",
            "sustained-notes",
            "messa-di-voce",
            "colours",
            "one-note-registers",
        ),
        lambda s, _: s["notes_up"] - 1,
    ),
    # A whole tone below for turns and mordents, one above for all.
    "ornaments": lambda s, _: 2 + 2 + s["notes_up"] - 1,
    **dict.fromkeys(("onsets", "consonants", "vowels-of-a-text", "young-vowels"), lambda _s, _: 0),
    "intervals": lambda _, unit: above_keynote(4) + choices("interval")[unit]["semitones"],
    "chords-sung": lambda s, unit: choices("chord")[unit]["semitones"] + s["roots"] - 1,
    "sequences": lambda s, unit: (
        semitones(choices("sequence")[unit]["label"]) + s["keys"] - 1 + s["starts"] - 1
    ),
    "without-a-key": lambda _, unit: max(above_held_note(unit)),
    "drone": lambda _, unit: choices("degree")[unit]["above"],
    "free-over-drone": lambda _s, _: above_keynote(5),
}


def range_of(exercise: str, chosen: Settings) -> tuple[int, int]:
    """The range of the voice that the settings name."""
    of = "young-voice" if exercise.startswith("young-") else "voice"
    row = choices(of)[chosen["voice"]]
    return midi(row["lowest"]), midi(row["highest"])


def test_every_exercise_with_a_voice_has_its_span_here() -> None:
    assert sorted(SPANS) == sorted(WITH_A_VOICE)


@pytest.mark.parametrize("exercise", WITH_A_VOICE)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_every_unit_stays_in_the_voice_and_is_as_wide_as_its_pattern(
    exercise: str, data: st.DataObject
) -> None:
    schemas = exercises()[exercise].settings_schema["properties"]
    chosen = complete(exercise, {name: data.draw(legal(schema)) for name, schema in schemas.items()})
    lowest, highest = range_of(exercise, chosen)
    for unit in material(exercise, **chosen).units:
        assert unit.lowest_pitch is not None
        assert unit.highest_pitch is not None
        assert lowest <= unit.lowest_pitch <= unit.highest_pitch <= highest
        assert unit.highest_pitch - unit.lowest_pitch == SPANS[exercise](chosen, unit.id)


@pytest.mark.parametrize("exercise", WITH_A_VOICE)
def test_no_bounds_of_all_settings_take_any_voice_out_of_its_range(exercise: str) -> None:
    schemas = exercises()[exercise].settings_schema["properties"]
    widest = {name: each["maximum"] for name, each in schemas.items() if each["type"] == "integer"}
    lists = {
        name: each["items"]["enum"][: each["maxItems"]]
        for name, each in schemas.items()
        if each["type"] == "array" and "enum" in each["items"]
    }
    of_patterns = [name for name in ("pattern", "leap", "run") if name in schemas]
    patterns: list[Settings] = [{name: value} for name in of_patterns for value in schemas[name]["enum"]] or [
        {}
    ]
    for voice in schemas["voice"]["enum"]:
        for pattern in patterns:
            chosen = complete(exercise, {**widest, **lists, **pattern, "voice": voice})
            lowest, highest = range_of(exercise, chosen)
            for unit in material(exercise, **chosen).units:
                assert unit.lowest_pitch is not None
                assert unit.highest_pitch is not None
                assert lowest <= unit.lowest_pitch
                assert unit.highest_pitch <= highest


def test_the_instrument_reaches_from_the_lowest_voice_to_the_highest() -> None:
    instrument = instruments().instrument("voice")
    assert instrument is not None
    rows = [*choices("voice").values(), *choices("young-voice").values()]
    assert instrument.lowest_pitch == min(midi(row["lowest"]) for row in rows)
    assert instrument.highest_pitch == max(midi(row["highest"]) for row in rows)
    assert instrument.sounds_semitones == 0


def test_what_strains_little_keeps_a_fourth_from_the_top_at_the_defaults() -> None:
    """So that nobody is sent to the end of a range by a light exercise."""
    for exercise in WITH_A_VOICE:
        if exercises()[exercise].strain != "low" or exercise.startswith("young-"):
            continue
        for voice, row in choices("voice").items():
            for unit in material(exercise, voice=voice).units:
                assert unit.highest_pitch is not None
                assert unit.highest_pitch <= midi(row["highest"]) - 5, (exercise, voice)
