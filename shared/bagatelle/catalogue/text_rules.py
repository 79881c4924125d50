"""Rules for a plugin's texts: ids, templates, and that what is needed is there and renders."""

import re
from collections.abc import Mapping
from typing import Final

import msgspec

from bagatelle.catalogue.faults import Fault
from bagatelle.model.exercise import Exercise, Instrument, Material, Template, Texts
from bagatelle.model.text import Message, Value
from bagatelle.wording.errors import TemplateError, WordingError
from bagatelle.wording.render import Wording, engine_texts
from bagatelle.wording.template import parse

LANGUAGE: Final = "en"
ENGINE: Final = "engine"
"""How the ids of the engine's own texts begin, before a dot."""
ENGINE_PARAMETERS: Final = frozenset(
    {"units", "unit_count", "unit_count_in_words", "seconds", "minutes", "duration", "passes_of_units"}
)
"""What the engine adds to the parameters of an exercise's material."""

_STANDS_IN: Final = "…"
"""For a text that is wrong, so that it is not said to be missing too."""
_LOCALE: Final = re.compile(r"[a-z]{2,3}(-[A-Z]{2})?")


def checked_wording(texts: tuple[Texts, ...], prefixes: tuple[str, ...], faults: list[Fault]) -> Wording:
    """Check a plugin's texts by themselves; what is wrong goes to `faults`.

    :param prefixes: how ids may begin; where empty, they may begin as they like.

    :returns: the texts that can be used, with the engine's.
    """
    english = {identifier for entry in texts if entry.locale == LANGUAGE for identifier in entry.messages}
    usable: dict[str, Texts] = {}
    for entry in texts:
        item = f"texts {entry.locale!r}"
        if entry.locale in usable:
            faults.append(Fault(item, "the locale is given twice"))
            continue
        if not _LOCALE.fullmatch(entry.locale):
            faults.append(
                Fault(item, "is no locale (accepted: a language such as en, or a variant such as en-US)")
            )
        good = {}
        for identifier, template in entry.messages.items():
            reasons = _text_faults(identifier, template, entry.locale, prefixes, english)
            faults.extend(Fault(f"{item}, {identifier}", reason) for reason in reasons)
            if not reasons:
                good[identifier] = template
            elif not _is_of_engine(identifier):
                good[identifier] = _STANDS_IN
        usable[entry.locale] = msgspec.structs.replace(entry, messages=good)
    if LANGUAGE not in usable:
        faults.append(Fault("bagatelle_texts", f"has no texts in {LANGUAGE!r}, which every plugin speaks"))
    return Wording((*engine_texts(), *usable.values()))


def check_names(instrument: Instrument, wording: Wording, faults: list[Fault]) -> None:
    """Check that an instrument has its name, and each of its proposals its texts."""
    item = f"instrument {instrument.id!r}"
    identifiers = [f"{instrument.id}.name"]
    for proposal in instrument.proposals:
        identifiers += [proposal.label, proposal.manner, proposal.done_when]
    for identifier in dict.fromkeys(identifiers):
        _check_message(item, Message(identifier), wording, faults)


def _plain_texts(exercise: Exercise, wording: Wording) -> tuple[str, ...]:
    """Shown and looked up without any settings, so these can name no parameter."""
    title, also_called = f"{exercise.id}.title", f"{exercise.id}.also_called"
    return (title, also_called) if wording.has(also_called, LANGUAGE) else (title,)


def check_exercise_texts(
    exercise: Exercise, material: Material | None, wording: Wording, faults: list[Fault]
) -> None:
    """Check that an exercise's texts are there and, given its material, that they and its units' render."""
    plain = _plain_texts(exercise, wording)
    needed = [f"{exercise.id}.{part}" for part in ("what", "how", "how_much", "done_when")]
    if exercise.soft_form is not None:
        needed += [f"{exercise.id}.soft.{part}" for part in ("what", "how")]
    optional = [f"{exercise.id}.soft.{part}" for part in ("how_much", "done_when")]
    needed += [*exercise.cautions, *(each for each in optional if wording.has(each, LANGUAGE))]
    if material is None:
        missing = [each for each in (*plain, *needed) if not wording.has(each, LANGUAGE)]
        faults.extend(Fault(exercise.id, f"the text {identifier!r} is missing") for identifier in missing)
        return
    for unit in material.units:
        for message in (unit.label, unit.detail):
            if message is not None:
                _check_message(f"{exercise.id}, unit {unit.id!r}", message, wording, faults)
    for identifier in plain:
        _check_message(exercise.id, Message(identifier), wording, faults)
    for identifier in dict.fromkeys(needed):
        for parameters in _sample_parameters(material):
            if not _check_message(exercise.id, Message(identifier, parameters), wording, faults):
                break


def _text_faults(
    identifier: str, template: Template, locale: str, prefixes: tuple[str, ...], english: set[str]
) -> list[str]:
    reasons = []
    if _is_of_engine(identifier):
        reasons.append(f"the ids that begin with {ENGINE + '.'!r} are the engine's own")
    elif prefixes and not identifier.startswith(prefixes):
        reasons.append(f"the id must begin with one of: {', '.join(prefixes)}")
    if locale != LANGUAGE and identifier not in english:
        reasons.append(f"there is no such text in {LANGUAGE!r}")
    try:
        parse(identifier, locale, template)
    except TemplateError as error:
        reasons.append(error.reason)
    return reasons


def _is_of_engine(identifier: str) -> bool:
    return identifier.startswith(f"{ENGINE}.")


def _sample_parameters(material: Material) -> tuple[Mapping[str, Value], ...]:
    """Return what the engine will give a text, once with ones and once with many."""
    labels = tuple(unit.label for unit in material.units)
    return tuple(
        {
            **material.parameters,
            "units": labels[:count],
            "unit_count": count,
            "unit_count_in_words": Message(f"engine.number.{count}"),
            "duration": Message("engine.minutes", {"minutes": count}),
            "passes_of_units": labels[:count],
            "seconds": 60 * count,
            "minutes": count,
        }
        for count in (1, 2)
    )


def _check_message(item: str, message: Message, wording: Wording, faults: list[Fault]) -> bool:
    # What is wrong in English is not to be blamed on a locale that falls back to it.
    for locale in (LANGUAGE, *(each for each in wording.locales if each != LANGUAGE)):
        try:
            wording.render(message, locale)
        except (WordingError, RecursionError) as error:
            faults.append(Fault(item, f"in the locale {locale!r}, {error}"))
            return False
    return True
