"""The words of what is gone through in the head: what may go along with it, its beat, and where it ends.

A page must not ask for silence and for a sound at once. So what the learner wrote is imagined where nothing may
sound; where humming or tapping is free, only what needs the instrument is.
"""

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from bagatelle.engine.body import sore_places
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.model.request import Circumstances
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import MUSIC_AREAS, TOUCH_AREAS, Area
from bagatelle.policy.table import Policy

OWN_FINISH_LINE: Final = "engine.study.done-when-own"
"""The finish line of the learner's own, heard or checked inwardly."""


class Along(Struct, frozen=True, kw_only=True):
    """What may go along with work in the head today."""

    voice: bool
    fingers: bool
    fingers_first: bool
    """Whether the fingers had better go along all the way, as thinking alone is too much today."""


def along_today(circumstances: Circumstances) -> Along:
    """A hum or a tap where nobody asked for silence and that is not what is sore; on a quiet day the fingers alone.

    With little focus doing comes before thinking (common practice, no source).
    """
    sore = sore_places(circumstances)
    fingers = "hands" not in sore
    return Along(
        voice=not circumstances.quiet and "voice" not in sore,
        fingers=fingers,
        fingers_first=fingers and circumstances.focus == "low",
    )


def study_words(
    words: Words, area: Area, title: str, units: Sequence[SettledUnit], along: Along, policy: Policy
) -> Words:
    """The four answers for what is studied; of music, the learner's own manner is kept in mind."""
    how = f"engine.study.how.{area}"
    parameters = {
        **words.parameters,
        "title": title,
        "along": Message(f"engine.study.along.{_along(along)}"),
        "page": Message("engine.study.page-open" if along.fingers_first else "engine.study.page-at-need"),
        "beat": _beat(units, along, policy),
    }
    if area in MUSIC_AREAS and words.how == "engine.own.how":
        parameters["base"] = Message(how, parameters)
        how = "engine.study.beside-the-instrument" if along.voice else "engine.study.imagined"
    own_finish_line = words.done_when == "engine.own.done-when" and area not in TOUCH_AREAS
    return Words(
        what="engine.study.what",
        how=how,
        how_much=words.how_much,  # not shown: a step counts the times through itself
        done_when=OWN_FINISH_LINE if own_finish_line else "engine.study.done-when",
        parameters=parameters,
    )


def _along(along: Along) -> str:
    if along.fingers_first:
        return "fingers-first-and-voice" if along.voice else "fingers-first"
    if along.voice:
        return "voice-and-fingers" if along.fingers else "voice"
    return "fingers" if along.fingers else "nothing"


def _beat(units: Sequence[SettledUnit], along: Along, policy: Policy) -> Message:
    """A beat to see, or to tap: one a bar where the beats come too fast, none where no tempo is known."""
    with_tempo = [unit for unit in units if unit.bpm is not None]
    if not with_tempo:
        return Message("engine.study.no-beat")
    by = "tapped" if along.fingers else "seen"
    most = policy.fastest_flashes_per_minute
    if all((unit.bpm or 0) <= most for unit in with_tempo):
        beat = Message(f"engine.study.beat-{by}")
    elif all(unit.bars_per_minute is not None and unit.bars_per_minute <= most for unit in with_tempo):
        beat = Message(f"engine.study.bar-{by}")
    else:
        beat = Message("engine.study.tempo-alone")
    return (
        beat
        if len(with_tempo) == len(units)
        else Message("engine.study.where-a-tempo-stands", {"beat": beat})
    )
