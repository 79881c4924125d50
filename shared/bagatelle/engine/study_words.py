"""The words of what is gone through in the head: what may go along with it, its beat, and where it ends.

A page must not ask for silence and for a sound at once. What the learner wrote may be a breath, a cue to sing or a
tempo as well as a stroke, and nobody can tell which; so it stands as far as it goes today.
"""

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from bagatelle.engine.body import sore_places
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.engine.study import beat_of
from bagatelle.model.request import Circumstances
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import MUSIC_AREAS, TOUCH_AREAS, Area
from bagatelle.policy.table import Policy

OWN_FINISH_LINE: Final = "engine.study.done-when-own"
"""The finish line of the learner's own, as far as it can be told today."""


class Along(Struct, frozen=True, kw_only=True):
    """What may go along with work in the head today."""

    sore: bool
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
        sore=bool(sore),
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
        how = f"engine.study.with-manner.{_as_far_as(along)}"
    own_finish_line = words.done_when == "engine.own.done-when" and area not in TOUCH_AREAS
    return Words(
        what="engine.study.what",
        how=how,
        how_much=words.how_much,  # not shown: a step counts the times through itself
        done_when=OWN_FINISH_LINE if own_finish_line else "engine.study.done-when",
        parameters=parameters,
    )


def _as_far_as(along: Along) -> str:
    if along.sore:
        return "sore"
    return "away" if along.voice else "silent"


def _along(along: Along) -> str:
    if along.fingers_first:
        return "fingers-first-and-voice" if along.voice else "fingers-first"
    if along.voice:
        return "voice-and-fingers" if along.fingers else "voice"
    return "fingers" if along.fingers else "nothing"


def _beat(units: Sequence[SettledUnit], along: Along, policy: Policy) -> Message:
    """A beat to tap, or where no finger may move to watch; none where no tempo is known."""
    with_tempo = [unit for unit in units if unit.bpm is not None]
    if not with_tempo:
        return Message("engine.study.no-beat")
    kind = beat_of(units, policy)
    by = "tapped" if along.fingers else "seen"
    beat = Message("engine.study.tempo-alone" if kind == "tempo" else f"engine.study.{kind}-{by}")
    return (
        beat
        if len(with_tempo) == len(units)
        else Message("engine.study.where-a-tempo-stands", {"beat": beat})
    )
