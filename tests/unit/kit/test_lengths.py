"""Lengths are reckoned exactly, and what the engine counts is held to them."""

from fractions import Fraction

import pytest
from bagatelle.contract import BarTiming, Material, Message, NoteTiming, PlainTiming, Timing, Unit
from bagatelle.engine.timing import UnitTime
from bagatelle.kit import lengths
from bagatelle.kit.lengths import exact_seconds, length_faults
from hypothesis import given
from hypothesis import strategies as st


def faults_of(timing: Timing) -> list[str]:
    unit = Unit(id="C", label=Message("kazoo.name"), timing=timing)
    return [str(fault) for fault in length_faults("kazoo.hum", Material(units=(unit,)))]


@pytest.mark.parametrize(
    ("timing", "seconds"),
    [
        # Reckoned by hand, as a metronome counts: a beat at 60 is a second.
        (NoteTiming(notes=29, notes_per_beat=4, bpm=60), Fraction(29, 4)),
        (NoteTiming(notes=15, notes_per_beat=2, bpm=90, passes=3, pause_seconds=2.5), Fraction(35, 2)),
        (BarTiming(bars=8, beats_per_bar=3, bpm=144, passes=2), Fraction(20)),
        (BarTiming(bars=0.5, beats_per_bar=4, bpm=70), Fraction(12, 7)),
        (PlainTiming(seconds=90), Fraction(90)),
    ],
)
def test_lengths_by_hand(timing: Timing, seconds: Fraction) -> None:
    assert exact_seconds(timing) == seconds
    assert faults_of(timing) == []


TIMINGS = st.builds(
    NoteTiming,
    notes=st.integers(1, 400),
    notes_per_beat=st.floats(0.05, 16),
    bpm=st.floats(20, 320),
    passes=st.integers(1, 12),
    pause_seconds=st.floats(0, 60),
) | st.builds(
    BarTiming,
    bars=st.floats(0.25, 400),
    beats_per_bar=st.floats(0.5, 16),
    bpm=st.floats(20, 320),
    passes=st.integers(1, 12),
    pause_seconds=st.floats(0, 60),
)


@given(TIMINGS)
def test_the_engine_counts_what_the_music_lasts(timing: Timing) -> None:
    """Law: whatever a plugin states within bounds counts as its exact length, rounded up."""
    within = 1 <= exact_seconds(timing) <= 7200
    assert (faults_of(timing) == []) == within


@pytest.mark.parametrize("counted", [23, 25, 0, 48])
def test_another_count_is_found(monkeypatch: pytest.MonkeyPatch, counted: int) -> None:
    monkeypatch.setattr(lengths, "time_of", lambda _: UnitTime(counted, float(counted)))
    assert faults_of(BarTiming(bars=4, beats_per_bar=4, bpm=60, pause_seconds=8)) == [
        f"kazoo.hum, unit 'C': counts as {counted} seconds, and its notes and tempo come to 24"
    ]
