"""Whether everything is said: in every locale, for one unit and for all, with nothing left open in the sentence."""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from bagatelle.catalogue.faults import Fault
from bagatelle.catalogue.text_rules import LANGUAGE
from bagatelle.model.exercise import Exercise, Instrument, Material
from bagatelle.model.text import Message, Value
from bagatelle.wording.errors import WordingError
from bagatelle.wording.render import Wording

_PARTS: Final = ("what", "how", "how_much", "done_when")
_COUNTED_IN_WORDS: Final = 12
"""The engine has numbers up to this in words."""
_LEFT_OVER: Final = re.compile(r"[{}\n\r\t]|  ")
"""A gap that was not filled, or where a gap was filled with nothing."""


def wording_faults(exercise: Exercise, material: Material, wording: Wording) -> list[Fault]:
    """Say which texts of an exercise cannot be said with this material, or say nothing."""
    faults = []
    for item, message in _messages(exercise, material, wording):
        for locale in wording.locales:
            reason = reason_against(message, locale, wording)
            if reason:
                faults.append(Fault(item, f"in the locale {locale!r}, {reason}"))
    return faults


def name_faults(instrument: Instrument, wording: Wording) -> list[Fault]:
    """Say which of an instrument's own texts say nothing."""
    needed = [f"{instrument.id}.name"]
    for proposal in instrument.proposals:
        needed += [proposal.label, proposal.manner, proposal.done_when]
    return [
        Fault(f"instrument {instrument.id!r}", f"in the locale {locale!r}, {reason}")
        for identifier in dict.fromkeys(needed)
        for locale in wording.locales
        if (reason := reason_against(Message(identifier), locale, wording))
    ]


def refusal_faults(exercise: str, refusal: str) -> list[Fault]:
    """Say that settings were refused without a word."""
    if refusal.strip():
        return []
    return [Fault(exercise, "raises ValueError without a message (accepted: what would be accepted instead)")]


def reason_against(message: Message, locale: str, wording: Wording) -> str | None:
    """Say why a message is no sentence in a locale; None where it is one."""
    try:
        text = wording.render(message, locale)
    except (WordingError, RecursionError) as error:
        return str(error)
    if not text.strip():
        return f"text {message.id!r} says nothing"
    if text != text.strip() or _LEFT_OVER.search(text):
        return f"text {message.id!r} has a gap or a blank too many: {text!r}"
    return None


def _messages(exercise: Exercise, material: Material, wording: Wording) -> Iterator[tuple[str, Message]]:
    for unit in material.units:
        for message in (unit.label, unit.detail):
            if message is not None:
                yield f"{exercise.id}, unit {unit.id!r}", message
    for name, value in material.parameters.items():
        if isinstance(value, Message):
            yield f"{exercise.id}, parameter {name!r}", value
    for identifier in _identifiers(exercise, wording):
        for count in sorted({1, min(2, len(material.units)), len(material.units)}):
            yield exercise.id, Message(identifier, _parameters(material, count))


def _identifiers(exercise: Exercise, wording: Wording) -> list[str]:
    needed = [f"{exercise.id}.title", *(f"{exercise.id}.{part}" for part in _PARTS), *exercise.cautions]
    optional = [f"{exercise.id}.also_called"]
    if exercise.soft_form is not None:
        optional += [f"{exercise.id}.soft.{part}" for part in _PARTS]
    return [*needed, *(each for each in optional if wording.has(each, LANGUAGE))]


def _parameters(material: Material, count: int) -> Mapping[str, Value]:
    """What the engine would add for a dose of the first so many units."""
    labels = tuple(unit.label for unit in material.units[:count])
    in_words = Message(f"engine.number.{count}") if count <= _COUNTED_IN_WORDS else count
    return {
        **material.parameters,
        "units": labels,
        "unit_count": count,
        "unit_count_in_words": in_words,
        "seconds": 60 * count,
        "minutes": count,
        "duration": Message("engine.minutes", {"minutes": count}),
        "passes_of_units": labels,
    }
