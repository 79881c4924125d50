"""The form of a task on a day of thin walls, without the instrument, or with soreness.

A task takes its plugin's soft form where that will do; one of the learner's own that is not loud is done softly, by
whatever means its instrument has. What is left is studied, in the head (see `study.py`). So no routine gives
nothing. Either counts half.
"""

from typing import Final

from msgspec.structs import replace

from bagatelle.engine.body import Traits, is_spared, works, works_of
from bagatelle.engine.settled import Form, Words
from bagatelle.model.exercise import Exercise, Family
from bagatelle.model.request import Circumstances, Limits
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import Area, Loudness
from bagatelle.wording.render import FALLBACK_LANGUAGE, Wording

_QUIET: Final[frozenset[Loudness]] = frozenset({"silent", "soft"})


def form_for(
    usual: Traits, exercise: Exercise | None, circumstances: Circumstances, area: Area, family: Family
) -> tuple[Form, Traits]:
    """The first form that the circumstances allow, with its traits."""

    def is_allowed(traits: Traits) -> bool:
        places = works(traits, area, family, exercise)
        return is_spared(places, circumstances) and _allowed(traits, circumstances, family)

    if is_allowed(usual):
        return "usual", usual
    soft = _softened(usual) if exercise is None else _soft_form(exercise, family)
    if soft is not None and is_allowed(soft):
        return "soft", soft
    return "study", Traits(strain="none", loudness="silent", needs_instrument=False)


def _soft_form(exercise: Exercise, family: Family) -> Traits | None:
    soft = exercise.soft_form
    if soft is None:
        return None
    traits = Traits(strain=soft.strain, loudness=soft.loudness, needs_instrument=soft.needs_instrument)
    if soft.works is not None:
        return replace(traits, works=frozenset(soft.works))
    # Fingers may go along in silence, and nobody says that they do not.
    return replace(traits, works=works_of(family)) if traits.rests_the_body else traits


def _softened(usual: Traits) -> Traits | None:
    """The same done softly; None of what is loud, which softly is another thing (common practice, no source)."""
    return replace(usual, loudness="soft") if usual.loudness == "moderate" else None


def words_of_soft_form(words: Words, exercise: Exercise, wording: Wording) -> Words:
    """The words of a plugin's soft form; what it does not say differently it says as usual."""
    return Words(
        what=f"{exercise.id}.soft.what",
        how=f"{exercise.id}.soft.how",
        how_much=_soft_or(words.how_much, f"{exercise.id}.soft.how_much", wording),
        done_when=_soft_or(words.done_when, f"{exercise.id}.soft.done_when", wording),
        parameters=words.parameters,
        settings=words.settings,
    )


def words_of_softened(words: Words, family: Family) -> Words:
    """The words of a task of the learner's own that is done softly: first by which means, then as ever."""
    return replace(
        words,
        what="engine.soft.what" if words.what == "engine.own.what" else "engine.soft.what-open",
        how="engine.soft.how",
        parameters={
            **words.parameters,
            "means": Message(f"engine.soft.means.{family}"),
            "base": Message(words.how, words.parameters),
        },
    )


def too_wide(exercise: Exercise, limits: Limits) -> bool:
    """Whether it needs a wider stretch than the learner's hand should make."""
    widest, needed = limits.widest_interval_semitones, exercise.widest_interval_semitones
    return widest is not None and needed is not None and needed > widest


def _soft_or(usual: str, soft: str, wording: Wording) -> str:
    return soft if wording.has(soft, FALLBACK_LANGUAGE) else usual


def _allowed(traits: Traits, circumstances: Circumstances, family: Family) -> bool:
    # Nobody leaves a voice at home: who is without it is where nobody sings.
    is_sung = family == "voice" and traits.loudness != "silent"
    if not circumstances.instrument_at_hand and (traits.needs_instrument or is_sung):
        return False
    return not circumstances.quiet or traits.loudness in _QUIET
