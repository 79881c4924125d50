"""Rules for what `bagatelle_material` answers."""

from collections import Counter
from collections.abc import Iterable
from typing import Any, Final

import msgspec

from bagatelle.catalogue.answers import copied_material
from bagatelle.catalogue.faults import Fault, RefusedError, raised, said_by
from bagatelle.catalogue.hooks import Hooks
from bagatelle.catalogue.text_rules import ENGINE_PARAMETERS
from bagatelle.model.exercise import Exercise, Material, Unit
from bagatelle.model.text import Message

UNITS_LIMIT: Final = 1000
UNIT_ID_LIMIT: Final = 64
"""As long as the units of a history may be, so that one can say which units were done."""


def checked_material(exercise: str, answer: object) -> Material:
    """Check one answer and copy it.

    :raises RefusedError: with everything that is wrong.
    """
    material = copied_material(exercise, answer)
    faults = [*_material_faults(exercise, material), *_value_faults(exercise, answer)]
    if faults:
        raise RefusedError(faults)
    return material


def _value_faults(exercise: str, answer: object) -> list[Fault]:
    """Say which parameters are of a type that JSON would turn into text unasked, such as bytes or dates."""
    item = f"material of {exercise}"
    given = [(item, getattr(answer, "parameters", {}))]
    for unit in _items(getattr(answer, "units", ())):
        messages = [each for each in (unit.label, unit.detail) if each] if isinstance(unit, Unit) else []
        given += [(f"{item}, unit {unit.id!r}", each.parameters) for each in messages]
    return [
        Fault(
            where,
            f"the parameter {name!r} is a {kind} (accepted: text, a number, a Message, a tuple of these)",
        )
        for where, parameters in given
        if isinstance(parameters, dict)
        for name, value in dict.items(parameters)
        if (kind := _strange_type(value))
    ]


def _strange_type(value: object) -> str | None:
    if isinstance(value, str | int | float):
        return None
    if isinstance(value, Message) and isinstance(value.parameters, dict):
        parts: Iterable[object] = dict.values(value.parameters)
    elif isinstance(value, tuple | list):
        parts = _items(value)
    else:
        return type(value).__name__
    return next((kind for each in parts if (kind := _strange_type(each))), None)


def _items(value: object) -> Iterable[Any]:
    """What is in a tuple or a list, by the built-in types' own ways: those of a subclass may never end."""
    if isinstance(value, tuple):
        return tuple.__iter__(value)
    return list.__iter__(value) if isinstance(value, list) else ()


def check_default_material(exercise: Exercise, hooks: Hooks, faults: list[Fault]) -> Material | None:
    """Ask for the material of the defaults, twice; what is wrong goes to `faults`."""
    try:
        first, second = (
            checked_material(exercise.id, ask_for_material(hooks, exercise.id, _canonical(exercise.defaults)))
            for _ in range(2)
        )
    except RefusedError as error:
        faults.extend(error.faults)
        return None
    except BaseException as error:
        if type(error) is ValueError:  # the contract's way to refuse settings
            faults.append(Fault(f"{exercise.id}, defaults", f"the defaults are refused: {said_by(error)}"))
            return None
        faults.append(raised(f"bagatelle_material of {exercise.id}", error))
        return None
    if _canonical(first) != _canonical(second):
        faults.append(
            Fault(f"material of {exercise.id}", "two calls with the same settings gave two answers")
        )
    return first


def ask_for_material(hooks: Hooks, exercise: str, settings: bytes) -> object:
    """Call the hook with settings of its own, which it cannot change for anybody else.

    :param settings: as canonical JSON.
    """
    return hooks.call("bagatelle_material", exercise=exercise, settings=msgspec.json.decode(settings))


def _canonical(value: object) -> bytes:
    return msgspec.json.encode(value, order="sorted")


def _material_faults(exercise: str, material: Material) -> list[Fault]:
    item = f"material of {exercise}"
    faults = []
    if not 1 <= len(material.units) <= UNITS_LIMIT:
        faults.append(Fault(item, f"has {len(material.units)} units (accepted: 1 to {UNITS_LIMIT})"))
    for name, count in Counter(unit.id for unit in material.units).items():
        if count > 1:
            faults.append(Fault(item, f"has {count} units of the id {name!r} (accepted: one)"))
        if not 1 <= len(name) <= UNIT_ID_LIMIT:
            faults.append(
                Fault(
                    item,
                    f"the unit id {name!r} is {len(name)} characters long (accepted: 1 to {UNIT_ID_LIMIT})",
                )
            )
    faults += [
        Fault(
            item,
            f"the unit {unit.id!r} goes from {unit.lowest_pitch} up to a lower pitch, {unit.highest_pitch}",
        )
        for unit in material.units
        if unit.lowest_pitch is not None
        and unit.highest_pitch is not None
        and unit.lowest_pitch > unit.highest_pitch
    ]
    taken = sorted(ENGINE_PARAMETERS & material.parameters.keys())
    faults += [
        Fault(item, f"the parameter {name!r} is the engine's own, take another name") for name in taken
    ]
    return faults
