"""The form of a task on a day of thin walls, without the instrument, or with soreness.

A task takes its plugin's soft form where that will do, else it is studied: the page alone, in the head. So no
routine gives nothing. Either counts half.
"""

from typing import Final

from msgspec import Struct

from bagatelle.engine.settled import Form, Words
from bagatelle.model.exercise import Exercise
from bagatelle.model.request import Circumstances
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import Loudness, Strain
from bagatelle.wording.render import FALLBACK_LANGUAGE, Wording

_QUIET: Final[frozenset[Loudness]] = frozenset({"silent", "soft"})


class Traits(Struct, frozen=True, kw_only=True, gc=False):
    """What a form changes of a task."""

    strain: Strain
    loudness: Loudness
    needs_instrument: bool


def form_for(usual: Traits, exercise: Exercise | None, circumstances: Circumstances) -> tuple[Form, Traits]:
    """The first form that the circumstances allow, with its traits."""
    if _allowed(usual, circumstances):
        return "usual", usual
    soft = exercise.soft_form if exercise is not None else None
    if soft is not None:
        traits = Traits(strain=soft.strain, loudness=soft.loudness, needs_instrument=soft.needs_instrument)
        if _allowed(traits, circumstances):
            return "soft", traits
    return "study", Traits(strain="none", loudness="silent", needs_instrument=False)


def words_of_form(form: Form, words: Words, exercise: Exercise | None, title: str, wording: Wording) -> Words:
    """The words of a form; what it does not say differently it says as usual."""
    if form == "usual":
        return words
    if form == "study" or exercise is None:
        return Words(
            what="engine.study.what",
            how="engine.study.how",
            how_much="engine.study.how-much",
            done_when="engine.study.done-when",
            parameters={**words.parameters, "title": title},
        )
    return Words(
        what=f"{exercise.id}.soft.what",
        how=f"{exercise.id}.soft.how",
        how_much=_soft_or(words.how_much, f"{exercise.id}.soft.how_much", wording),
        done_when=_soft_or(words.done_when, f"{exercise.id}.soft.done_when", wording),
        parameters=words.parameters,
    )


def caution_of_soreness() -> Message:
    """What is said with every plan of a day with soreness."""
    return Message("engine.caution.soreness")


def _soft_or(usual: str, soft: str, wording: Wording) -> str:
    return soft if wording.has(soft, FALLBACK_LANGUAGE) else usual


def _allowed(traits: Traits, circumstances: Circumstances) -> bool:
    if circumstances.soreness:
        # Only silent work that no hand, lip or voice does.
        return traits.strain == "none" and traits.loudness == "silent" and not traits.needs_instrument
    if not circumstances.instrument_at_hand and traits.needs_instrument:
        return False
    return not circumstances.quiet or traits.loudness in _QUIET
