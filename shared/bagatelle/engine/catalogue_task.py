"""A catalogue task: its settings completed and checked, its units asked of the plugin."""

from collections.abc import Iterable

from msgspec import Struct

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.exercise import Exercise, Material, PlainTiming, Unit
from bagatelle.model.text import Message

_CLOSE_MATCHES = 8


class CatalogueTask(Struct, frozen=True, kw_only=True):
    """What only a catalogue task has to settle."""

    exercise: Exercise
    title: Message
    units: tuple[SettledUnit, ...]
    words: Words
    filled_in: tuple[str, ...]


def settle_exercise(
    placed: PlacedTask, instruments: Instruments, errors: list[FieldError]
) -> CatalogueTask | None:
    """The exercise with its units; None, with errors added, where the task is wrong."""
    task = placed.task
    name = task.exercise or ""
    known = {exercise.id for exercise in instruments.exercises}
    if name not in known:
        errors.append(_unknown(placed, name, sorted(known)))
        return None
    if task.passages:
        errors.append(
            FieldError(
                pointer=f"{placed.pointer}/passages",
                message="Passages belong to a task of your own; a catalogue exercise has settings.",
                accepted=f"Settings of {name}, or the task without its exercise.",
            )
        )
    pointer = f"{placed.pointer}/settings"
    wrong = instruments.settings_errors(name, task.settings, pointer)
    errors.extend(wrong)
    if wrong or task.passages:
        return None
    try:
        material = instruments.material(name, instruments.complete_settings(name, task.settings), pointer)
    except InvalidInputError as error:
        errors.extend(error.errors)
        return None
    return _settled(placed, instruments.exercise(name), material)


def _settled(placed: PlacedTask, exercise: Exercise, material: Material) -> CatalogueTask:
    task = placed.task
    parameters = dict(material.parameters)
    if task.manner:
        parameters["manner"] = task.manner
    if task.done_when:
        parameters["done_when"] = task.done_when
    return CatalogueTask(
        exercise=exercise,
        title=Message(f"{exercise.id}.title"),
        units=tuple(settled_units(material.units)),
        words=Words(
            what=f"{exercise.id}.what",
            how="engine.own.how" if task.manner else f"{exercise.id}.how",
            how_much=f"{exercise.id}.how_much",
            done_when="engine.own.done-when" if task.done_when else f"{exercise.id}.done_when",
            parameters=parameters,
        ),
        filled_in=tuple(sorted(set(exercise.defaults) - set(task.settings))),
    )


def settled_units(units: Iterable[Unit]) -> Iterable[SettledUnit]:
    """The units of an exercise with their lengths."""
    for unit in units:
        passes = 1 if isinstance(unit.timing, PlainTiming) else unit.timing.passes
        yield SettledUnit(
            id=unit.id, label=unit.label, time=time_of(unit.timing), passes=passes, detail=unit.detail
        )


def _unknown(placed: PlacedTask, name: str, known: list[str]) -> FieldError:
    prefix = name.partition(".")[0]
    near = [exercise for exercise in known if exercise.startswith(f"{prefix}.")] or known
    shown = ", ".join(near[:_CLOSE_MATCHES]) or "none is loaded"
    more = f" and {len(near) - _CLOSE_MATCHES} more" if len(near) > _CLOSE_MATCHES else ""
    return FieldError(
        pointer=f"{placed.pointer}/exercise",
        message=f"No loaded catalogue has an exercise {name!r}.",
        accepted=f"The id of a loaded exercise: {shown}{more}; or a title of your own instead.",
    )
