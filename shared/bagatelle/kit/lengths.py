"""How long units last, reckoned exactly from what their timing says, beside what the engine counts."""

from fractions import Fraction
from math import ceil
from typing import Final

from bagatelle.catalogue.faults import Fault
from bagatelle.engine.timing import time_of
from bagatelle.model.exercise import BarTiming, Material, NoteTiming, PlainTiming, Timing

LEAST_SECONDS: Final = 1
MOST_SECONDS: Final = 7200
"""As long as an exercise may usually take."""
_LEAST_MORE: Final = Fraction(-2, 10**9)
"""How much less than its exact length a unit may count: the error of floating point, and no music."""
_MOST_MORE: Final = 1 - Fraction(1, 2 * 10**9)
"""How much more: it is rounded up to a whole second, and what is whole stays."""


def exact_seconds(timing: Timing) -> Fraction:
    """Return the exact length of a unit, passes and pauses included, not rounded."""
    match timing:
        case PlainTiming():
            return Fraction(timing.seconds)
        case NoteTiming():
            beats = timing.notes / Fraction(timing.notes_per_beat)
        case BarTiming():
            beats = Fraction(timing.bars) * Fraction(timing.beats_per_bar)
    return beats * 60 * timing.passes / Fraction(timing.bpm) + Fraction(timing.pause_seconds)


def length_faults(exercise: str, material: Material) -> list[Fault]:
    """Say which units last too short or too long, or another time than the engine counts."""
    faults = []
    for unit in material.units:
        reason = _reason_against(unit.timing)
        if reason:
            faults.append(Fault(f"{exercise}, unit {unit.id!r}", reason))
    return faults


def _reason_against(timing: Timing) -> str | None:
    exact = exact_seconds(timing)
    if not LEAST_SECONDS <= exact <= MOST_SECONDS:
        return (
            f"lasts {float(exact):g} seconds by its timing (accepted: {LEAST_SECONDS} to {MOST_SECONDS}); "
            "what is shorter belongs into a unit of several"
        )
    counted = time_of(timing).seconds
    if not _LEAST_MORE <= counted - exact < _MOST_MORE:
        return f"counts as {counted} seconds, and its notes and tempo come to {ceil(exact)}"
    return None
