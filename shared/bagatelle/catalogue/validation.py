"""Examine all that a plugin hands over, and find every fault of it, never only the first."""

from collections import Counter
from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.answers import copied_instruments, copied_texts
from bagatelle.catalogue.faults import Fault, RefusedError, raised
from bagatelle.catalogue.hooks import Hooks
from bagatelle.catalogue.material_rules import check_default_material
from bagatelle.catalogue.pitch_range import range_of_instrument
from bagatelle.catalogue.settings_rules import check_settings
from bagatelle.catalogue.text_rules import ENGINE, check_exercise_texts, check_names, checked_wording
from bagatelle.model.exercise import Exercise, Instrument, Material, Texts
from bagatelle.model.vocabulary import PREPARING_AREAS
from bagatelle.wrong_fields import CheckedSchema

RESERVED_INSTRUMENTS: Final = frozenset({ENGINE})
"""The engine's own texts begin so."""


class Examined(Struct, frozen=True, kw_only=True):
    """A plugin's data, copied and found right, with its settings schemas compiled."""

    instruments: tuple[Instrument, ...]
    texts: tuple[Texts, ...]
    settings: dict[str, CheckedSchema]
    materials: dict[str, Material]
    """Of the defaults, by exercise id."""


class Answers(Struct, frozen=True, kw_only=True):
    """A plugin's data as far as it is well typed, and the faults of the rest."""

    instruments: tuple[Instrument, ...]
    texts: tuple[Texts, ...]
    faults: tuple[Fault, ...]


def answers_of(hooks: Hooks) -> Answers:
    """Ask a plugin for its data and check the types.

    :raises RefusedError: where a hook raised.
    """
    given = {}
    failures: list[Fault] = []
    for hook in ("bagatelle_instruments", "bagatelle_texts"):
        try:
            given[hook] = hooks.call(hook)
        except RefusedError as error:
            failures.extend(error.faults)
        except BaseException as error:
            failures.append(raised(hook, error))
    if failures:
        raise RefusedError(dict.fromkeys(failures))
    faults: list[Fault] = []
    instruments = copied_instruments(given["bagatelle_instruments"], faults)
    texts = copied_texts(given["bagatelle_texts"], faults)
    return Answers(instruments=instruments, texts=texts, faults=tuple(faults))


def examine(answers: Answers, hooks: Hooks) -> Examined:
    """Hold a plugin's data against every rule.

    :raises RefusedError: with every fault.
    """
    faults = list(answers.faults)
    _refuse_reserved(answers.instruments, faults)
    _check_numbers(answers.instruments, faults)
    # Where an instrument could not be read, its texts would be blamed for it.
    prefixes = () if answers.faults else tuple(f"{each.id}." for each in answers.instruments)
    wording = checked_wording(answers.texts, prefixes, faults)
    settings: dict[str, CheckedSchema] = {}
    materials: dict[str, Material] = {}
    # Where texts could not be read, each of them would be said to be missing.
    texts_read = not any(each.item.startswith(("bagatelle_texts", "texts ")) for each in answers.faults)
    for instrument in answers.instruments:
        _check_instrument(instrument, faults)
        if texts_read:
            check_names(instrument, wording, faults)
        for exercise in instrument.exercises:
            faults.extend(_exercise_faults(exercise, instrument))
            schema = check_settings(exercise, faults)
            material = check_default_material(exercise, hooks, faults) if schema else None
            if texts_read:
                check_exercise_texts(exercise, material, wording, faults)
            if schema:
                settings[exercise.id] = schema
            if material:
                materials[exercise.id] = material
                _check_range(exercise, material, instrument, faults)
    if faults:
        raise RefusedError(dict.fromkeys(faults))
    return Examined(
        instruments=answers.instruments, texts=answers.texts, settings=settings, materials=materials
    )


def _refuse_reserved(instruments: tuple[Instrument, ...], faults: list[Fault]) -> None:
    """Refuse an instrument of the engine's own id at once, as all its texts would be the engine's.

    :raises RefusedError: with the faults that were found before, too.
    """
    reserved = [
        Fault(f"instrument {each.id!r}", "this id is the engine's own, take another")
        for each in instruments
        if each.id in RESERVED_INSTRUMENTS
    ]
    if reserved:
        raise RefusedError([*faults, *reserved])


def _check_numbers(instruments: tuple[Instrument, ...], faults: list[Fault]) -> None:
    exercises = [exercise for instrument in instruments for exercise in instrument.exercises]
    if not instruments:
        faults.append(Fault("bagatelle_instruments", "hands over no instrument that could be used"))
    repeated = [f"instrument {each!r}" for each in _repeated(instrument.id for instrument in instruments)]
    repeated += _repeated(exercise.id for exercise in exercises)
    faults.extend(Fault(item, "the id is given twice") for item in repeated)


def _check_instrument(instrument: Instrument, faults: list[Fault]) -> None:
    item = f"instrument {instrument.id!r}"
    stand_ins = [exercise.id for exercise in instrument.exercises if exercise.warm_up_stand_in]
    if len(stand_ins) > 1:
        faults.append(
            Fault(item, f"has {len(stand_ins)} warm-up stand-ins ({', '.join(stand_ins)}), and one will do")
        )
    areas = _repeated(proposal.area for proposal in instrument.proposals)
    faults.extend(Fault(item, f"has more than one proposal for the area {area!r}") for area in areas)


def _exercise_faults(exercise: Exercise, instrument: Instrument) -> list[Fault]:
    reasons = []
    if not exercise.id.startswith(f"{instrument.id}."):
        reasons.append(f"the id must begin with {instrument.id + '.'!r}")
    if exercise.strain == "high" and exercise.daily_cap_seconds is None:
        reasons.append("strain is high, so daily_cap_seconds is needed")
    if exercise.strain == "high" and not exercise.cautions:
        reasons.append("strain is high, so a caution is needed")
    if not exercise.sources:
        reasons.append("sources is empty, at least one must say where the facts come from")
    if exercise.warm_up_stand_in and not (
        exercise.area in PREPARING_AREAS and exercise.strain in {"none", "low"}
    ):
        reasons.append("a warm-up stand-in must be warm-up or tone work of strain none or low")
    return [Fault(exercise.id, reason) for reason in reasons]


def _check_range(exercise: Exercise, material: Material, instrument: Instrument, faults: list[Fault]) -> None:
    reason = range_of_instrument(instrument).fault(material)
    if reason is not None:
        faults.append(Fault(exercise.id, f"the defaults leave the instrument's range: {reason}"))


def _repeated(identifiers: Iterable[str]) -> list[str]:
    return [identifier for identifier, count in Counter(identifiers).items() if count > 1]
