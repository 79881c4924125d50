"""A task of the learner's own: its units from its passages, its words from what the learner wrote.

What the learner left open is filled from the proposal for its area, and said to be filled in.
"""

import re
from functools import lru_cache
from operator import itemgetter
from typing import Final

from msgspec import Struct

from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.engine.timing import UnitTime, time_of, timing_of_passage
from bagatelle.model.errors import FieldError
from bagatelle.model.exercise import OwnTaskProposal, Timing
from bagatelle.model.request import Passage, Task
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import SECURITIES, Area, BeatNote
from bagatelle.policy.table import Policy

_WORDS: Final[tuple[tuple[Area, tuple[str, ...]], ...]] = (
    ("warm-down", ("warm-down", "warm down", "warming down", "cool-down", "cool down", "cooling down")),
    ("warm-up", ("warm-up", "warm up", "warmup", "warming up", "tuning", "stretch")),
    ("tone", ("long tone", "long note", "tone", "sound")),
    ("sight-reading", ("sight-read", "sight read", "prima vista")),
    ("ear", ("ear training", "ear test", "dictation", "aural", "by ear")),
    ("improvisation", ("improvis", "jam")),
    ("theory", ("theory", "score study", "analysis")),
    ("harmony", ("harmony", "chord", "cadence", "figured bass", "comping")),
    ("rhythm", ("rhythm", "metre", "subdivision", "clapping")),
    (
        "technique",
        (
            "scale",
            "arpeggio",
            "technique",
            "technical",
            "exercise",
            "rudiment",
            "paradiddle",
            "roll",
            "trill",
            "position",
            "study",
            "etude",
            "étude",
        ),
    ),
)
"""Beginnings of words that give an area away in an English title. A piece may have any title: it is the rest."""
_AREA_WORDS: Final[tuple[tuple[Area, re.Pattern[str]], ...]] = tuple(
    (area, re.compile(r"\b(?:" + "|".join(words) + ")", re.IGNORECASE)) for area, words in _WORDS
)

OPEN_UNIT: Final = "time"
"""The unit of a task that names no passages: one and the same for rotation, played or studied."""


class OwnTask(Struct, frozen=True, kw_only=True, gc=False):
    """What only an own task has to settle."""

    units: tuple[SettledUnit, ...]
    words: Words
    filled_in: tuple[str, ...]


def likely_area(title: str) -> Area:
    """The area of a task that names none, from its title; repertoire where no word gives it away."""
    return next((area for area, words in _AREA_WORDS if words.search(title)), "repertoire")


def says_how_often(task: Task, policy: Policy) -> bool:
    """Whether a learner gives a number of repeats, of a passage or in the settings of an exercise."""
    passages = task.settings.get("passages")
    listed = passages if isinstance(passages, list) else ()
    numbers = [
        *(passage.passes for passage in task.passages),
        task.settings.get("passes"),
        *(passage.get("passes") for passage in listed if isinstance(passage, dict)),
    ]
    return any(isinstance(number, int) and number >= policy.counted_passes for number in numbers)


def settle_own_task(
    placed: PlacedTask,
    passages: tuple[SettledUnit, ...],
    proposal: OwnTaskProposal,
    usual_seconds: int,
    policy: Policy,
) -> OwnTask:
    """Units and words of a task of the learner's own, its passages settled before."""
    task = placed.task
    units = passages or (_plain_unit(usual_seconds, policy),)
    given = {"passages": task.passages, "manner": task.manner, "done_when": task.done_when}
    filled_in = tuple([name for name, value in given.items() if not value])
    return OwnTask(
        units=units,
        words=Words(
            what="engine.own.what" if task.passages else "engine.own.what-open",
            how="engine.own.how" if task.manner else manner_to_propose(task, proposal),
            how_much="engine.own.how-much" if task.passages else "engine.own.how-much-open",
            done_when="engine.own.done-when" if task.done_when else proposal.done_when,
            parameters={
                "title": placed.title,
                "manner": task.manner or "",
                "done_when": task.done_when or "",
                "proposed": Message(proposal.label),
            },
        ),
        filled_in=filled_in,
    )


def manner_to_propose(task: Task, proposal: OwnTaskProposal) -> str:
    """The manner of the proposal (a message id), which may name a tempo; not where the learner names one."""
    return "engine.own.at-its-tempo" if any(passage.bpm for passage in task.passages) else proposal.manner


def settle_passages(placed: PlacedTask, errors: list[FieldError]) -> tuple[SettledUnit, ...]:
    """The units of a task's passages, the least secure first; what is wrong with these is added to `errors`."""
    units: list[tuple[int, SettledUnit]] = []
    seen: set[str] = set()
    for index, passage in enumerate(placed.task.passages):
        if passage.id in seen:
            errors.append(
                FieldError(
                    pointer=f"{placed.pointer}/passages/{index}/id",
                    message=f"The passage id {passage.id!r} stands in this task more than once.",
                    accepted="An id that no other passage of the task has.",
                )
            )
        seen.add(passage.id)
        timing = timing_of_passage(passage)
        if timing is not None:
            unit = unit_of_passage(passage, timing, place=index)
            units.append((SECURITIES.index(passage.security), unit))
        else:
            errors.append(
                FieldError(
                    pointer=f"{placed.pointer}/passages/{index}",
                    message="How long this passage takes can't be told from what is given.",
                    accepted="Exactly one of: bars with bpm; notes with bpm; seconds.",
                )
            )
    return tuple(unit for _, unit in sorted(units, key=itemgetter(0)))


def unit_of_passage(passage: Passage, timing: Timing, *, place: int = 0) -> SettledUnit:
    """A passage as a unit, its passes in one, at its place in the piece."""
    return SettledUnit(
        id=passage.id,
        label=passage.label,
        place=place,
        time=time_of(timing),
        passes=passage.passes or 1,
        detail=tempo_of(passage.bpm, passage.beat) if passage.bpm else None,
        bpm=passage.bpm,
        beat=passage.beat,
        bars_per_minute=passage.bpm / passage.beats_per_bar if passage.bpm and passage.bars else None,
    )


@lru_cache(maxsize=512)
def tempo_of(bpm: float, beat: BeatNote | None) -> Message:
    """Minim = 84, or beats a minute where the note is not known."""
    if beat is None:
        return Message("engine.own.tempo", {"bpm": bpm})
    term = Message(f"engine.term.{beat.replace(' ', '_')}")
    return Message("engine.tempo", {"beat": term, "bpm": bpm})


def _plain_unit(usual_seconds: int, policy: Policy) -> SettledUnit:
    seconds = min(policy.own_unit_seconds, usual_seconds)
    return SettledUnit(
        id=OPEN_UNIT,
        label=Message("engine.own.time"),
        time=UnitTime(seconds, float(seconds)),
        passes=1,
    )
