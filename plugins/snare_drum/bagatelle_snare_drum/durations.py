"""Exact lengths of units, and how long a unit may be."""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil
from typing import Final

from bagatelle.contract import NoteTiming, PlainTiming, Timing, Unit

SHORTEST_UNIT_SECONDS: Final = 5
LONGEST_UNIT_SECONDS: Final = 600


def exact_seconds(timing: Timing) -> Fraction:
    """Return the exact length of a unit, pauses included, by the formulas that `Timing` states."""
    if isinstance(timing, PlainTiming):
        return Fraction(timing.seconds)
    if isinstance(timing, NoteTiming):
        beats = Fraction(timing.notes) / Fraction(timing.notes_per_beat)
    else:
        beats = Fraction(timing.bars) * Fraction(timing.beats_per_bar)
    return beats * 60 / Fraction(timing.bpm) * timing.passes + Fraction(timing.pause_seconds)


def tempo_ladder(from_bpm: int, to_bpm: int, step_bpm: int) -> tuple[int, ...]:
    """Return the tempi up and down again, the fastest once: (60, 80, 100, 80, 60).

    Where the steps do not meet `to_bpm`, the last one up (and the first one down) is shorter.

    :raises ValueError: where the fast tempo is not above the slow one.
    """
    if to_bpm <= from_bpm:
        raise ValueError(
            f"The ladder climbs from {from_bpm} to {to_bpm}: to_bpm must be above from_bpm, "
            f"so at least {from_bpm + 1} is accepted."
        )
    up = (*range(from_bpm, to_bpm, step_bpm), to_bpm)
    return up + up[-2::-1]


def ladder_timing(beats: Fraction, tempi: Sequence[int]) -> PlainTiming:
    """Return the time for so many beats at each tempo in turn.

    A `NoteTiming` knows one tempo alone, and the one that would give the same length (the harmonic mean) is
    no whole number. So the exact sum of `beats * 60 / bpm` is rounded up here to a whole second, once.
    """
    return PlainTiming(seconds=ceil(sum(beats * 60 / bpm for bpm in tempi)))


def within_bounds(units: tuple[Unit, ...], advice: str = "bpm, passes or pause_seconds") -> tuple[Unit, ...]:
    """Return the units if each is long enough to be worth it and short enough to be repeated.

    :param advice: the settings that would change the length.
    :raises ValueError: where a unit is shorter than 5 s or longer than 600 s.
    """
    for unit in units:
        seconds = exact_seconds(unit.timing)
        if not SHORTEST_UNIT_SECONDS <= seconds <= LONGEST_UNIT_SECONDS:
            raise ValueError(
                f"The unit {unit.id!r} would last {float(seconds):.1f} seconds. Units of "
                f"{SHORTEST_UNIT_SECONDS} to {LONGEST_UNIT_SECONDS} seconds are accepted: change {advice}."
            )
    return units
