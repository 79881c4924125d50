"""Check that a hook answered with the types that its specification names, and copy what it handed over.

The copy goes through JSON: nothing of it is shared with the plugin, numbers that are not finite are found,
and an answer that cannot be written down is refused.
"""

import hashlib
import inspect
import math
from typing import Any, Final, TypeVar

import msgspec

from bagatelle.catalogue.faults import Fault, RefusedError, field_faults
from bagatelle.catalogue.size import (
    MATERIAL_CHARACTERS_LIMIT,
    MATERIAL_VALUES_LIMIT,
    check_size,
)
from bagatelle.decode import typed
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.exercise import Exercise, Instrument, Material, Texts

T = TypeVar("T")
INSTRUMENTS_LIMIT: Final = 100
EXERCISES_LIMIT: Final = 2000
"""Of all instruments of a plugin together."""
LOCALES_LIMIT: Final = 100


def copied(item: str, value: object, kind: type[T]) -> T:
    """Copy one structure of a hook's answer.

    :raises RefusedError: where it is another type or any field of it is wrong, with all of them.
    """
    if not isinstance(value, kind):
        close(value)
        raise RefusedError([Fault(item, f"is a {type(value).__name__} (accepted: {kind.__name__})")])
    try:
        return typed(msgspec.json.decode(msgspec.json.encode(value)), kind)
    except InvalidInputError as error:
        raise RefusedError(field_faults(item, (_named(each, value) for each in error.errors))) from error
    except (TypeError, ValueError, ArithmeticError, RecursionError) as error:
        raise RefusedError([Fault(item, f"cannot be written as JSON: {error}")]) from error


def _named(error: FieldError, value: object) -> FieldError:
    """Say of a number that is not finite what it was: JSON has null in its place."""
    given = _at(value, error.pointer)
    if not isinstance(given, float) or math.isfinite(given):
        return error
    return msgspec.structs.replace(error, message=f"{given} is no finite number")


def _at(value: Any, pointer: str) -> object:
    """Return what stands at a place of an answer; None where nothing does."""
    try:
        for segment in pointer.split("/")[1:]:
            if isinstance(value, tuple | list):
                value = value[int(segment)]
            else:
                value = value[segment] if isinstance(value, dict) else getattr(value, segment)
    except (AttributeError, LookupError, ValueError):
        return None
    return value


def copied_instruments(answer: object, faults: list[Fault]) -> tuple[Instrument, ...]:
    """Copy the answer of `bagatelle_instruments`; what is wrong goes to `faults`, the rest is returned."""
    hook = "bagatelle_instruments"
    instruments = []
    given_instruments = _sequence(hook, answer, INSTRUMENTS_LIMIT, "instruments", faults)
    exercise_count = sum(_length(getattr(given, "exercises", ())) for given in given_instruments)
    if exercise_count > EXERCISES_LIMIT:
        reason = f"hands over {exercise_count} exercises (accepted: at most {EXERCISES_LIMIT})"
        raise RefusedError([*faults, Fault(hook, reason)])
    check_size(hook, given_instruments)
    for position, given in enumerate(given_instruments):
        item = f"instrument {getattr(given, 'id', position)!r}"
        exercises = getattr(given, "exercises", ())
        try:
            # Exercises are checked one by one, so that each fault names its own.
            bare = msgspec.structs.replace(given, exercises=()) if isinstance(given, Instrument) else given
            instrument = copied(item, bare, Instrument)
        except RefusedError as error:
            faults.extend(error.faults)
            instrument = None
        good = _copied_exercises(item, exercises, faults)
        if instrument is not None:
            instruments.append(msgspec.structs.replace(instrument, exercises=good))
    return tuple(instruments)


def copied_texts(answer: object, faults: list[Fault]) -> tuple[Texts, ...]:
    """Copy the answer of `bagatelle_texts`; what is wrong goes to `faults`, the rest is returned."""
    hook = "bagatelle_texts"
    texts = []
    given_texts = _sequence(hook, answer, LOCALES_LIMIT, "locales", faults)
    check_size(hook, given_texts)
    for position, given in enumerate(given_texts):
        try:
            texts.append(copied(f"texts {getattr(given, 'locale', position)!r}", given, Texts))
        except RefusedError as error:
            faults.extend(error.faults)
    return tuple(texts)


def copied_material(exercise: str, answer: object) -> Material:
    """Copy the answer of `bagatelle_material`.

    :raises RefusedError: where it is of another type, or any field of it is wrong.
    """
    item = f"material of {exercise}"
    check_size(item, answer, MATERIAL_VALUES_LIMIT, MATERIAL_CHARACTERS_LIMIT)
    return copied(item, answer, Material)


def data_hash(instruments: tuple[Instrument, ...], texts: tuple[Texts, ...]) -> str:
    """Return the SHA-256 of a plugin's data as JSON with sorted names, in hexadecimal."""
    canonical = msgspec.json.encode({"instruments": instruments, "texts": texts}, order="sorted")
    return f"sha256:{hashlib.sha256(canonical).hexdigest()}"


def close(answer: object) -> None:
    """Close a coroutine that nobody will await, so that Python does not warn of it later."""
    if inspect.iscoroutine(answer):
        answer.close()


def _copied_exercises(item: str, given: object, faults: list[Fault]) -> tuple[Exercise, ...]:
    exercises = []
    for position, exercise in enumerate(
        _sequence(f"{item}, exercises", given, EXERCISES_LIMIT, "exercises", faults)
    ):
        try:
            name = str(getattr(exercise, "id", f"{item}, exercise {position}"))
            exercises.append(copied(name, exercise, Exercise))
        except RefusedError as error:
            faults.extend(error.faults)
    return tuple(exercises)


def _sequence(item: str, answer: object, limit: int, things: str, faults: list[Fault]) -> tuple[Any, ...]:
    """Copy a tuple or a list, by the built-in types' own ways: those of a subclass may never end."""
    count = _length(answer)
    if count > limit:
        faults.append(Fault(item, f"hands over {count} {things} (accepted: at most {limit})"))
        return ()
    if isinstance(answer, tuple):
        return tuple(tuple.__iter__(answer))
    if isinstance(answer, list):
        return tuple(list.__iter__(answer))
    close(answer)
    faults.append(Fault(item, f"is a {type(answer).__name__} (accepted: a tuple)"))
    return ()


def _length(answer: object) -> int:
    if isinstance(answer, tuple):
        return tuple.__len__(answer)
    return list.__len__(answer) if isinstance(answer, list) else 0
