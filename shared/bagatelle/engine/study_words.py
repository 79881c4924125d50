"""The words of what is gone through in the head: what may go along with it, its beat, and where it ends.

A page must not ask for silence and for a sound at once, nor for what nobody can do or tell in the head. What the
learner wrote speaks of playing: a breath, a stroke, a tempo, a success in a row; nobody here can tell which. So the
engine's own manner and finish line stand alone.
"""

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from bagatelle.engine.body import sore_places
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.engine.study import beat_of
from bagatelle.model.exercise import Family
from bagatelle.model.request import Circumstances
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import IN_HAND, Area, Stage
from bagatelle.policy.table import Policy

_FINGERED: Final[frozenset[Family]] = frozenset({"keyboard", "plucked", "bowed", "wind", "brass"})
"""Here the fingers know the music; elsewhere they can at most tap it."""


class Along(Struct, frozen=True, kw_only=True):
    """What may go along with work in the head today."""

    voice: bool
    fingers: bool
    fingers_first: bool
    """Whether the fingers had better go along all the way, as thinking alone is too much today."""
    quiet: bool
    page_open: bool
    """Whether the page lies open all the way: with little focus, and as long as it is not in hand."""
    family: Family


def along_today(circumstances: Circumstances, family: Family, stage: Stage) -> Along:
    """A hum or a tap where nobody asked for silence and that is not what is sore; on a quiet day the fingers alone,
    and where a singer is without the voice, which is where others are.

    With little focus doing comes before thinking (common practice, no source).
    """
    sore = sore_places(circumstances)
    is_silent = circumstances.quiet or (family == "voice" and not circumstances.instrument_at_hand)
    fingers = "hands" not in sore
    fingers_first = fingers and circumstances.focus == "low"
    return Along(
        voice=not is_silent and "voice" not in sore,
        fingers=fingers,
        fingers_first=fingers_first,
        quiet=is_silent,
        page_open=fingers_first or stage not in IN_HAND,
        family=family,
    )


def study_words(
    words: Words, area: Area, title: str, units: Sequence[SettledUnit], along: Along, policy: Policy
) -> Words:
    """The four answers for what is studied."""
    parameters = {
        **words.parameters,
        "title": title,
        "along": Message(f"engine.study.along.{_along(along)}"),
        "page": Message("engine.study.page-open" if along.page_open else "engine.study.page-at-need"),
        "beat": _beat(units, along, policy),
    }
    return Words(
        what="engine.study.what",
        how=f"engine.study.how.{area}",
        how_much=words.how_much,  # not shown: a step counts the times through itself
        done_when="engine.study.done-when",
        parameters=parameters,
    )


def _along(along: Along) -> str:
    moves = "hand" if along.family == "voice" else "fingers"
    if along.fingers_first:
        return f"{moves}-first-and-voice" if along.voice else f"{moves}-first"
    if not along.fingers:
        return "voice" if along.voice else "nothing"
    if along.voice:
        return "voice-and-fingers" if along.family in _FINGERED else "voice-and-taps"
    return moves


def _beat(units: Sequence[SettledUnit], along: Along, policy: Policy) -> Message:
    """A beat to tap, or to hear where no finger may move, as the eyes have the page; none without a tempo."""
    with_tempo = [unit for unit in units if unit.bpm is not None]
    if not with_tempo:
        return Message("engine.study.no-beat")
    kind = beat_of(units, policy)
    by = "tapped" if along.fingers else "in-the-ear" if along.quiet else "heard"
    beat = Message("engine.study.tempo-alone" if kind == "tempo" else f"engine.study.{kind}-{by}")
    return (
        beat
        if len(with_tempo) == len(units)
        else Message("engine.study.where-a-tempo-stands", {"beat": beat})
    )
