"""The engine's own form of a task for a day on which it can't be played: gone through in the head.

It is a dose of units like any other, by rotation and each with its tempo. A unit is one time through, so that
what is studied can be as short as one passage; a step says how often. Its words are in `study_words.py`.
"""

import math
from collections.abc import Sequence
from typing import Final, Literal

from msgspec.structs import replace

from bagatelle.engine.own_task import OPEN_UNIT, tempo_of, unit_of_passage
from bagatelle.engine.settled import SettledUnit
from bagatelle.engine.timing import UnitTime, timing_of_passage
from bagatelle.model.exercise import OwnTaskProposal
from bagatelle.model.request import Passage
from bagatelle.model.text import Message, Value
from bagatelle.policy.table import Policy

_LEAST_TIMES: Final = 2
"""A day may always hold so many times through: once along the page, once without it."""


Beat = Literal["beat", "bar", "tempo"]
"""What is tapped or watched: the beat, one in a bar, or nothing, at the tempo that is written down."""


def studied_units(played: Sequence[SettledUnit], policy: Policy) -> tuple[SettledUnit, ...]:
    """The same units in the same order, each once through; with its bars a minute where these are the beat."""
    once = tuple(_once_through(unit) for unit in played)
    return tuple(map(_by_the_bar, once)) if beat_of(played, policy) == "bar" else once


def beat_of(units: Sequence[SettledUnit], policy: Policy) -> Beat:
    """One in a bar where the beats come too fast to tap, and the bars are slow enough to tap and not slower."""
    with_tempo = [unit for unit in units if unit.bpm is not None]
    if all((unit.bpm or 0) <= policy.fastest_taps_per_minute for unit in with_tempo):
        return "beat"
    slowest, fastest = policy.slowest_bars_per_minute, policy.fastest_bars_per_minute
    by_the_bar = all(slowest <= (unit.bars_per_minute or 0) <= fastest for unit in with_tempo)
    return "bar" if by_the_bar else "tempo"


def longest_study_seconds(played: Sequence[SettledUnit]) -> int:
    """How long all of it takes in the head, each unit as often as it is played in one round, at least twice.

    Going round more often than that in the head holds nobody's attention (common practice, no source).
    """
    return sum(_once_through(unit).time.seconds * max(unit.passes, _LEAST_TIMES) for unit in played)


def unit_of_proposal(proposal: OwnTaskProposal) -> SettledUnit:
    """What is proposed for a task that names no passages, as the one unit that it is."""
    passage = Passage(
        id=OPEN_UNIT,
        label=proposal.label,
        bars=proposal.bars,
        bpm=proposal.bpm,
        seconds=proposal.seconds,
        passes=proposal.passes,
    )
    timing = timing_of_passage(passage)
    if timing is None:
        raise AssertionError("a proposal cut to a room has bars with bpm, or seconds")
    return replace(unit_of_passage(passage, timing), label=Message(proposal.label))


def _by_the_bar(unit: SettledUnit) -> SettledUnit:
    if unit.bpm is None or unit.bars_per_minute is None:
        return unit
    said: dict[str, Value] = {"tempo": tempo_of(unit.bpm, unit.beat), "bars": round(unit.bars_per_minute)}
    return replace(unit, detail=Message("engine.study.tempo-by-the-bar", said))


def _once_through(unit: SettledUnit) -> SettledUnit:
    """One pass, with its part of the pauses, in whole seconds rounded up."""
    if unit.passes == 1:
        return unit
    seconds = math.ceil(unit.time.seconds / unit.passes)
    music_seconds = round(unit.time.music_seconds / unit.passes, 3)
    return replace(unit, time=UnitTime(seconds, music_seconds), passes=1)
