"""Durations against worked examples, and the request that the service's callers start from."""

import pytest
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError

from tests.plugins.piano.loaded import instruments, material

# Settings, how many notes they give, and seconds worked by hand as notes * 60 / (bpm * notes per beat), every
# note holding one slot.
WORKED = [
    ("piano.major-scale", {"octaves": 1, "bpm": 60, "notes_per_beat": 2}, 15, 7.5),
    ("piano.major-scale", {"octaves": 1, "bpm": 69, "notes_per_beat": 2}, 15, 6.522),
    ("piano.major-scale", {"octaves": 2, "bpm": 80, "notes_per_beat": 4}, 29, 5.438),
    ("piano.minor-scale", {"octaves": 2, "bpm": 66, "notes_per_beat": 3}, 29, 8.788),
    ("piano.minor-scale", {"octaves": 3, "bpm": 100, "notes_per_beat": 4}, 43, 6.45),
    ("piano.major-scale", {"octaves": 4, "bpm": 88, "notes_per_beat": 4}, 57, 9.716),
    ("piano.contrary-motion-scale", {"octaves": 2, "bpm": 80, "notes_per_beat": 4}, 29, 5.438),
    ("piano.octaves", {"octaves": 1, "bpm": 60, "notes_per_beat": 2, "hands": "right"}, 15, 7.5),
    ("piano.chromatic-scale", {"octaves": 1, "bpm": 60, "notes_per_beat": 4}, 25, 6.25),
    ("piano.chromatic-scale", {"octaves": 4, "bpm": 60, "notes_per_beat": 4}, 97, 24.25),
    ("piano.arpeggio", {"octaves": 3, "bpm": 60, "notes_per_beat": 3}, 19, 6.333),
    ("piano.arpeggio", {"octaves": 2, "bpm": 60, "notes_per_beat": 4, "chord": "dominant-seventh"}, 17, 4.25),
    (
        "piano.arpeggio",
        {"octaves": 4, "bpm": 60, "notes_per_beat": 4, "chord": "diminished-seventh"},
        33,
        8.25,
    ),
]


@pytest.mark.parametrize(("exercise", "settings", "notes", "seconds"), WORKED)
def test_one_pass(exercise: str, settings: dict[str, object], notes: int, seconds: float) -> None:
    for unit in material(exercise, passes=1, **settings).units:
        assert unit.timing.notes == notes  # type: ignore[union-attr] # runs of notes are timed by notes
        assert time_of(unit.timing).music_seconds == seconds


def test_four_passes_with_the_pause_of_ten_seconds() -> None:
    """29 notes * 4 / 2 * 60 / 92 = 37.826 s, and 10 s to place the hands."""
    made = material(
        "piano.major-scale", keys=["C", "G", "D", "A"], octaves=2, bpm=92, notes_per_beat=2, passes=4
    )
    assert [unit.id for unit in made.units] == ["C", "G", "D", "A"]
    assert {(time_of(unit.timing).seconds, time_of(unit.timing).music_seconds) for unit in made.units} == {
        (48, 37.826)
    }


def test_arpeggios_in_triplets() -> None:
    """13 notes * 4 / 3 * 60 / 72 = 14.444 s, and 10 s to place the hands."""
    made = material("piano.arpeggio", keys=["C", "G"], octaves=2, bpm=72, notes_per_beat=3, passes=4)
    assert [unit.id for unit in made.units] == ["C", "G"]
    assert {(time_of(unit.timing).seconds, time_of(unit.timing).music_seconds) for unit in made.units} == {
        (25, 14.444)
    }


@pytest.mark.parametrize(
    "exercise", ["piano.major-scale", "piano.broken-chord", "piano.trill", "piano.passage"]
)
def test_hands_separately_take_twice_as_long(exercise: str) -> None:
    together, separately = (
        time_of(material(exercise, hands=hands).units[0].timing).music_seconds
        for hands in ("right", "separately")
    )
    assert separately == pytest.approx(2 * together, abs=0.002)  # both are rounded to milliseconds


@pytest.mark.parametrize(
    ("bars", "beats", "bpm", "seconds"),
    # bars * beats * 60 / bpm: worked by hand.
    [(16, 4, 60, 64), (32, 3, 90, 64), (12, 2, 60, 24)],
)
def test_passage(bars: int, beats: int, bpm: int, seconds: float) -> None:
    given = {"id": "p", "bars": bars, "beats_per_bar": beats, "bpm": bpm, "passes": 1}
    assert time_of(material("piano.passage", passages=[given]).units[0].timing).music_seconds == seconds


def test_warm_up_is_two_minutes_to_the_second() -> None:
    assert sum(time_of(unit.timing).seconds for unit in material("piano.warm-up").units) == 120


@pytest.mark.parametrize(
    ("exercise", "settings", "accepted"),
    [
        ("piano.major-scale", {"octaves": 4, "right_hand_octave": 5}, "right_hand_octave here: 2, 3"),
        (
            "piano.major-scale",
            {"right_hand_octave": 1, "hands": "left"},
            "right_hand_octave here: 2, 3, 4, 5, 6",
        ),
        ("piano.major-scale", {"octaves": 4, "bpm": 30, "passes": 12}, "passes from 1 to 10"),
        ("piano.octaves", {"octaves": 2, "bpm": 30, "notes_per_beat": 1, "passes": 4}, "passes from 1 to 2"),
        ("piano.arpeggio", {"positions": ["third-inversion"]}, "root, first-inversion, second-inversion"),
        ("piano.arpeggio", {"keys": ["Db"], "chord": "minor"}, "Accepted are A, E, B, F#"),
        ("piano.cadence", {"keys": ["G#"]}, "Accepted are C, G, D, A"),
        ("piano.passage", {"passages": [{"id": "a", "bars": 1}, {"id": "a", "bars": 2}]}, "id of its own"),
        (
            "piano.passage",
            {"passages": [{"id": "a", "bars": 128, "bpm": 30}]},
            "a higher bpm or a shorter run",
        ),
    ],
)
def test_a_refusal_says_what_would_be_accepted(
    exercise: str, settings: dict[str, object], accepted: str
) -> None:
    complete = instruments().complete_settings(exercise, settings)
    assert instruments().settings_errors(exercise, settings) == ()
    with pytest.raises(InvalidInputError, match=accepted):
        instruments().material(exercise, complete)


@pytest.mark.parametrize(
    ("exercise", "last_accepted", "first_refused"),
    [
        # The compass of 88 keys: C8 is the highest key, A0 the lowest.
        (
            "piano.major-scale",
            {"keys": ["C"], "octaves": 4, "right_hand_octave": 4, "hands": "right"},
            {"keys": ["Db"]},
        ),
        ("piano.major-scale", {"keys": ["A"], "right_hand_octave": 1, "hands": "left"}, {"keys": ["Ab"]}),
        # 29 notes * 2 hands * 60 / 40 * 3 passes = 261 s; with the pause 300, then 301.
        (
            "piano.octaves",
            {"octaves": 2, "bpm": 40, "notes_per_beat": 1, "passes": 3, "pause_seconds": 39},
            {"pause_seconds": 40},
        ),
        # 64 bars * 4 beats * 60 / 30 = 512 s a pass; with the pause one pass stays within 600 s.
        ("piano.chorale", {"bars": 64, "bpm": 30, "passes": 1, "pause_seconds": 60}, {"passes": 2}),
    ],
)
def test_bounds_are_sharp(
    exercise: str, last_accepted: dict[str, object], first_refused: dict[str, object]
) -> None:
    assert material(exercise, **last_accepted).units
    with pytest.raises(InvalidInputError):
        material(exercise, **(last_accepted | first_refused))
