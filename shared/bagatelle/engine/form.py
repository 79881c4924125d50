"""The form of a task on a day of thin walls, without the instrument, or with soreness.

A task takes its plugin's soft form where that will do, else it is studied, in the head (see `study.py`). So no
routine gives nothing. Either counts half.
"""

from typing import Final

from msgspec import Struct

from bagatelle.engine.settled import Form, Words
from bagatelle.model.exercise import Exercise
from bagatelle.model.request import Circumstances, Limits
from bagatelle.model.vocabulary import Loudness, Strain
from bagatelle.wording.render import FALLBACK_LANGUAGE, Wording

_QUIET: Final[frozenset[Loudness]] = frozenset({"silent", "soft"})


class Traits(Struct, frozen=True, kw_only=True, gc=False):
    """What a form changes of a task."""

    strain: Strain
    loudness: Loudness
    needs_instrument: bool

    @property
    def rests_the_body(self) -> bool:
        """Whether it is silent work that no hand, lip or voice does."""
        return self.strain == "none" and self.loudness == "silent" and not self.needs_instrument


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


def words_of_soft_form(words: Words, exercise: Exercise, wording: Wording) -> Words:
    """The words of a plugin's soft form; what it does not say differently it says as usual."""
    return Words(
        what=f"{exercise.id}.soft.what",
        how=f"{exercise.id}.soft.how",
        how_much=_soft_or(words.how_much, f"{exercise.id}.soft.how_much", wording),
        done_when=_soft_or(words.done_when, f"{exercise.id}.soft.done_when", wording),
        parameters=words.parameters,
    )


def too_wide(exercise: Exercise, limits: Limits) -> bool:
    """Whether it needs a wider stretch than the learner's hand should make."""
    widest, needed = limits.widest_interval_semitones, exercise.widest_interval_semitones
    return widest is not None and needed is not None and needed > widest


def _soft_or(usual: str, soft: str, wording: Wording) -> str:
    return soft if wording.has(soft, FALLBACK_LANGUAGE) else usual


def _allowed(traits: Traits, circumstances: Circumstances) -> bool:
    if circumstances.soreness:
        return traits.rests_the_body
    if not circumstances.instrument_at_hand and traits.needs_instrument:
        return False
    return not circumstances.quiet or traits.loudness in _QUIET
