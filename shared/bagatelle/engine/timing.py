"""How long a unit takes, from its music."""

import math

from msgspec import Struct

from bagatelle.model.exercise import BarTiming, NoteTiming, PlainTiming, Timing
from bagatelle.model.request import Passage

_TINY_SECONDS = 1e-9
"""Less than this over a whole second is the error of floating point, not music."""


class UnitTime(Struct, frozen=True, gc=False):
    """Length of one unit."""

    seconds: int
    """Passes and pauses, rounded up to a whole second once."""
    music_seconds: float
    """The notes alone, to the millisecond."""


def time_of(timing: Timing) -> UnitTime:
    """Length of a unit.

    `notes / notes_per_beat * 60 / bpm * passes + pause`, or `bars * beats_per_bar * 60 / bpm * passes +
    pause`: every note, the last included, holds one slot.
    """
    match timing:
        case PlainTiming():
            return UnitTime(timing.seconds, float(timing.seconds))
        case NoteTiming():
            beats = timing.notes / timing.notes_per_beat
        case BarTiming():
            beats = timing.bars * timing.beats_per_bar
    music_seconds = beats * 60 * timing.passes / timing.bpm
    whole = math.ceil(music_seconds + timing.pause_seconds - _TINY_SECONDS)
    return UnitTime(max(whole, 1), round(music_seconds, 3))


def timing_of_passage(passage: Passage) -> Timing | None:
    """The timing that a learner's passage states; None where it states none, or more than one."""
    given = [passage.bars is not None, passage.notes is not None, passage.seconds is not None]
    if sum(given) != 1:
        return None
    passes = passage.passes or 1
    if passage.seconds is not None:
        return PlainTiming(seconds=math.ceil(passage.seconds * passes + passage.pause_seconds))
    if passage.bpm is None:
        return None
    if passage.bars is not None:
        return BarTiming(
            bars=passage.bars,
            beats_per_bar=passage.beats_per_bar,
            bpm=passage.bpm,
            passes=passes,
            pause_seconds=passage.pause_seconds,
        )
    return NoteTiming(
        notes=passage.notes or 1,
        notes_per_beat=passage.notes_per_beat,
        bpm=passage.bpm,
        passes=passes,
        pause_seconds=passage.pause_seconds,
    )
