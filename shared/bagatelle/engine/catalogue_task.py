"""A catalogue task: its settings completed and checked, its units asked of the plugin."""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, Final

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.pitch_range import EVERY_PITCH, PitchRange, range_of_learner
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.settled import Form, SettledUnit, Words
from bagatelle.engine.sound import HEARING_CAUTION
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.exercise import BarTiming, Exercise, PlainTiming, Unit
from bagatelle.model.request import Limits, Task
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import Loudness

_EXERCISES_KEPT: Final = 2048
"""So many are kept with their settings, as the same come again with every day of a routine."""
_CLOSE_MATCHES = 8
_COUNTS: Final = ("passes", "rounds")
"""The settings by which exercises say how often; a plugin that calls it otherwise has it said again."""


class CatalogueTask(Struct, frozen=True, kw_only=True, gc=False):
    """What only a catalogue task has to settle."""

    exercise: Exercise
    title: Message
    units: tuple[SettledUnit, ...]
    words: Words
    filled_in: tuple[str, ...]
    loudness_at_ear: Loudness | None
    """With these settings; None where that is the exercise's own."""


def settle_exercise(
    placed: PlacedTask, instruments: Instruments, limits: Limits, errors: list[FieldError]
) -> CatalogueTask | None:
    """The exercise with its units; None, with errors added, where the task is wrong."""
    task = placed.task
    name = task.exercise or ""
    if not instruments.has(name):
        errors.append(_unknown(placed, name, sorted(exercise.id for exercise in instruments.exercises)))
        return None
    pointer = f"{placed.pointer}/settings"
    if task.passages:
        errors.append(
            FieldError(
                pointer=f"{placed.pointer}/passages",
                message="Passages belong to a task of your own; a catalogue exercise has settings.",
                accepted=f"Settings of {name}, or the task without its exercise.",
            )
        )
        errors.extend(instruments.settings_errors(name, task.settings, pointer))
        return None
    try:
        found = exercise_with(instruments, name, task.settings, range_of_learner(limits))
    except InvalidInputError as error:
        errors.extend(replace(each, pointer=pointer + each.pointer) for each in error.errors)
        return None
    return _in_own_words(found, task) if task.manner or task.done_when else found


def exercise_with(
    instruments: Instruments, name: str, settings: Mapping[str, Any], learner: PitchRange = EVERY_PITCH
) -> CatalogueTask:
    """A loaded exercise with these settings and the defaults of the others.

    :param learner: what the learner wants to use of the instrument's range.
    :raises InvalidInputError: where settings are wrong, with pointers from the settings on.
    """
    return _exercise_with(instruments, name, msgspec.json.encode(settings, order="sorted"), learner)


@lru_cache(maxsize=_EXERCISES_KEPT)
def _exercise_with(
    instruments: Instruments, name: str, settings: bytes, learner: PitchRange
) -> CatalogueTask:
    given = msgspec.json.decode(settings)
    wrong = instruments.settings_errors(name, given)
    if wrong:
        raise InvalidInputError(wrong)
    exercise = instruments.exercise(name)
    settings_of_all = instruments.complete_settings(name, given)
    material = instruments.material(name, settings_of_all, learner=learner)
    return CatalogueTask(
        exercise=exercise,
        title=Message(f"{name}.title"),
        units=tuple(_settled_units(material.units)),
        words=Words(
            what=f"{name}.what",
            how=f"{name}.how",
            how_much=f"{name}.how_much",
            done_when=f"{name}.done_when",
            parameters=material.parameters,
            settings=settings_of_all,
        ),
        filled_in=tuple(sorted(set(exercise.defaults) - set(given))),
        loudness_at_ear=material.loudness,
    )


def words_of_more_passes(instruments: Instruments, name: str, words: Words, times: int) -> Words | None:
    """The words where each unit is played so many times as often; None where the exercise knows no such number."""
    count = next((each for each in _COUNTS if isinstance(words.settings.get(each), int)), None)
    if count is None:
        return None
    more = {**words.settings, count: words.settings[count] * times}
    if instruments.settings_errors(name, more):
        return None
    try:
        parameters = instruments.material(name, more).parameters
    except InvalidInputError:
        # A unit may be too long with so many.
        return None
    return replace(words, parameters={**words.parameters, **parameters}, settings=more)


def cautions_of_exercise(exercise: Exercise | None, form: Form, at_ear: Loudness) -> tuple[Message, ...]:
    """Those of the exercise as it is; of the ears only where it is loud, as with these settings it need not be."""
    if exercise is None or form != "usual":
        return ()
    return tuple(
        Message(caution)
        for caution in exercise.cautions
        if at_ear == "loud" or not caution.endswith(HEARING_CAUTION)
    )


def _in_own_words(found: CatalogueTask, task: Task) -> CatalogueTask:
    """The exercise in the manner, and with the end, that the learner wrote."""
    words = found.words
    parameters = dict(words.parameters)
    if task.manner:
        parameters["manner"] = task.manner
        words = replace(words, how="engine.own.how")
    if task.done_when:
        parameters["done_when"] = task.done_when
        words = replace(words, done_when="engine.own.done-when")
    return replace(found, words=replace(words, parameters=parameters))


def _settled_units(units: Iterable[Unit]) -> Iterable[SettledUnit]:
    """The units of an exercise with their lengths."""
    for place, unit in enumerate(units):
        timing = unit.timing
        yield SettledUnit(
            id=unit.id,
            label=unit.label,
            place=place,
            time=time_of(timing),
            passes=1 if isinstance(timing, PlainTiming) else timing.passes,
            detail=unit.detail,
            bpm=None if isinstance(timing, PlainTiming) else timing.bpm,
            bars_per_minute=timing.bpm / timing.beats_per_bar if isinstance(timing, BarTiming) else None,
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
