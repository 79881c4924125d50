"""Lengths of units, by hand: notes / notes a beat * 60 / bpm * passes + pause, rounded up once."""

import pytest
from bagatelle.engine.timing import UnitTime, time_of, timing_of_passage
from bagatelle.model.exercise import BarTiming, NoteTiming, PlainTiming, Timing
from bagatelle.model.request import Passage


@pytest.mark.parametrize(
    ("timing", "expected"),
    [
        # 29 notes in quavers at 80: 14.5 beats * 0.75 s = 10.875 s; four passes 43.5 s; ten seconds of pause.
        (NoteTiming(notes=29, notes_per_beat=2, bpm=80, passes=4, pause_seconds=10), UnitTime(54, 43.5)),
        # 8 bars of 4 at 60: 32 s; three times 96 s.
        (BarTiming(bars=8, beats_per_bar=4, bpm=60, passes=3), UnitTime(96, 96.0)),
        # 16 bars of 3 at 132: 48 beats * 60 / 132 = 21.8181... s.
        (BarTiming(bars=16, beats_per_bar=3, bpm=132), UnitTime(22, 21.818)),
        # 7 notes at 3 a beat and 140: exactly one second, which floating point misses by 2e-16.
        (NoteTiming(notes=7, notes_per_beat=3, bpm=140), UnitTime(1, 1.0)),
        # Rounded up once for all passes: 3 * 10.4 s = 31.2 s, not 3 * 11 s.
        (NoteTiming(notes=26, notes_per_beat=1, bpm=150, passes=3), UnitTime(32, 31.2)),
        # A unit never takes no time at all.
        (NoteTiming(notes=1, notes_per_beat=8, bpm=400), UnitTime(1, 0.019)),
        (PlainTiming(seconds=45), UnitTime(45, 45.0)),
    ],
)
def test_length(timing: Timing, expected: UnitTime) -> None:
    assert time_of(timing) == expected


def test_a_passage_without_passes_is_played_once() -> None:
    timing = timing_of_passage(Passage(id="a", label="a", bars=4, bpm=60))
    assert timing == BarTiming(bars=4, beats_per_bar=4, bpm=60, passes=1)


@pytest.mark.parametrize(
    "passage",
    [
        Passage(id="a", label="a"),
        Passage(id="a", label="a", bars=4),
        Passage(id="a", label="a", notes=4),
        Passage(id="a", label="a", bars=4, bpm=60, seconds=20),
        Passage(id="a", label="a", bars=4, notes=16, bpm=60),
    ],
)
def test_a_passage_that_states_no_length_or_two(passage: Passage) -> None:
    assert timing_of_passage(passage) is None


def test_plain_seconds_are_those_of_one_time_through() -> None:
    """A cadenza of two and a half minutes, twice, with half a minute's pause."""
    timing = timing_of_passage(Passage(id="a", label="the cadenza", seconds=150, passes=2, pause_seconds=30))
    assert timing is not None
    assert time_of(timing).seconds == 330
