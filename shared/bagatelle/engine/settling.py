"""Settling one task for a day: its form, its factors, its limits."""

import re
from datetime import date
from functools import lru_cache
from typing import Final

from msgspec.structs import replace

from bagatelle.engine.body import Traits, is_spared, works
from bagatelle.engine.catalogue_task import cautions_of_exercise
from bagatelle.engine.form import form_for, too_wide, words_of_soft_form, words_of_softened
from bagatelle.engine.known import Body, Known
from bagatelle.engine.lengths import cap_of, chunk_of, rounds_held_from, set_up_of
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.rotation import LastDone, in_rotation_order, waiting_units
from bagatelle.engine.settled import Form, SettledTask, SettledUnit, Words
from bagatelle.engine.study import studied_units
from bagatelle.engine.study_words import along_today, study_words
from bagatelle.engine.worth import circumstances_factor, factors_of, is_near, need_factor, weight_of
from bagatelle.model.exercise import Exercise, Family
from bagatelle.model.plan import Factors
from bagatelle.model.request import Task
from bagatelle.model.vocabulary import LEVELS, SHORT_AREAS, Area, Divisibility, Level, Loudness, Stage

_NEW_PIECE: Final = re.compile(r"\bnew (piece|song|tune|study|work|repertoire|material)s?\b", re.IGNORECASE)
"""No other new: a piece may be called after a new world."""
_STAGE: Stage = "refining"
"""Of a task of a normal routine that names no stage."""


def settle_task(task_id: str, placed: PlacedTask, body: Body, known: Known) -> SettledTask:
    """The task as the day of the request has it."""
    task, exercise, policy = placed.task, body.exercise, known.policy
    usual = _usual_traits(task, exercise, body.area)
    family = known.instruments.family(_instrument(exercise, known))
    form, traits = form_for(usual, exercise, known.request.circumstances, body.area, family)
    at_ear = _loudness_at_ear(task, body, form, traits)
    divisibility = task.divisibility or (exercise.divisibility if exercise else _divisibility_of(body.area))
    stage: Stage = task.stage or (exercise.stage_hint if exercise else _stage_of(body.title))
    due_days = _days_until(task.due, known.request.date)
    circumstances = _circumstances(traits, divisibility, form, known)
    is_unready = is_near(due_days, policy) and stage == "learning"
    # With the day near, what is not ready wants its turn as what is being refined.
    factors = _factors(task_id, task, body, "refining" if is_unready else stage, circumstances, known)
    units = _in_rotation_order(task_id, _units(body, form, known), known.done_units)
    return SettledTask(
        id=task_id,
        block=placed.block_id,
        block_position=placed.block_position,
        pointer=placed.pointer,
        title=body.title,
        area=body.area,
        stage=stage,
        stage_since=task.stage_since,
        concreteness=body.concreteness,
        divisibility=divisibility,
        strain=traits.strain,
        loudness=traits.loudness,
        loudness_at_ear=at_ear,
        pin=task.pin,
        due_days=due_days,
        near=is_near(due_days, policy),
        family=family,
        strains_what_is_sore=_strains_what_is_sore(usual, body, family, known),
        usual_seconds=body.usual_seconds,
        cap_seconds=cap_of(body, form, due_days, known, at_rest=traits.rests_the_body),
        rounds_held_from=rounds_held_from(task, body, form, policy),
        units=units,
        waiting_units=waiting_units(task_id, [unit.id for unit in units], body.area, known.done_units),
        chunk_seconds=chunk_of(placed, body, divisibility, policy, due_days=due_days, is_unready=is_unready),
        set_up_seconds=set_up_of(placed, exercise, policy),
        factors=factors,
        weight=weight_of(factors),
        form=form,
        at_rest=traits.rests_the_body,
        words=_words(body, form, family, stage, known),
        exercise=exercise,
        filled_in=body.filled_in if task.stage else (*body.filled_in, "stage"),
        cautions=cautions_of_exercise(exercise, form, at_ear),
        shut_out=_shut_out(placed, exercise, known),
    )


def _factors(
    task_id: str, task: Task, body: Body, stage: Stage, circumstances: float, known: Known
) -> Factors:
    return factors_of(
        stage=stage,
        concreteness=body.concreteness,
        pin=task.pin,
        need=_need(task_id, task, body.exercise, known),
        circumstances=circumstances,
        policy=known.policy,
    )


def _strains_what_is_sore(usual: Traits, body: Body, family: Family, known: Known) -> bool:
    places = works(usual, body.area, family, body.exercise)
    return usual.strain == "high" and not is_spared(places, known.request.circumstances)


def _instrument(exercise: Exercise | None, known: Known) -> str | None:
    """The instrument of an exercise, else the request's."""
    return exercise.id.partition(".")[0] if exercise is not None else known.request.instrument


def _divisibility_of(area: Area) -> Divisibility:
    return "fine" if area in SHORT_AREAS else "sectioned"


def _stage_of(title: str) -> Stage:
    """New where a title speaks of a new piece, in English; anything else is taken to be in hand."""
    return "new" if _NEW_PIECE.search(title) else _STAGE


def _in_rotation_order(
    task_id: str, units: tuple[SettledUnit, ...], done_units: LastDone
) -> tuple[SettledUnit, ...]:
    return (
        in_rotation_order(task_id, [(unit.id, unit) for unit in units], done_units) if done_units else units
    )


def _usual_traits(task: Task, exercise: Exercise | None, area: Area) -> Traits:
    needs_instrument = task.needs_instrument
    if needs_instrument is None:
        needs_instrument = exercise is None or exercise.needs_instrument
    return Traits(
        strain=task.strain or (exercise.strain if exercise else "low"),
        loudness=task.loudness or (exercise.loudness if exercise else _loudness_of(area)),
        needs_instrument=needs_instrument,
        works=None if exercise is None or exercise.works is None else frozenset(exercise.works),
    )


def _loudness_of(area: Area) -> Loudness:
    """Of a task of the learner's own: a pencil disturbs nobody (common practice, no source)."""
    return "soft" if area == "theory" else "moderate"


def _loudness_at_ear(task: Task, body: Body, form: Form, traits: Traits) -> Loudness:
    """What the learner says of it counts before what an exercise makes of its settings."""
    if form != "usual" or task.loudness is not None:
        return traits.loudness
    return body.loudness_at_ear or traits.loudness


def _need(task_id: str, task: Task, exercise: Exercise | None, known: Known) -> float:
    return need_factor(
        _days_since(task_id, known),
        task.cadence_days or (exercise.cadence_days if exercise else None) or known.policy.usual_cadence_days,
        _days_until(task.due, known.request.date),
        known.policy,
        anything_due=known.anything_due,
    )


def _circumstances(traits: Traits, divisibility: Divisibility, form: Form, known: Known) -> float:
    return circumstances_factor(
        traits.strain,
        divisibility,
        other_form=form != "usual",
        circumstances=known.request.circumstances,
        policy=known.policy,
    )


def _days_until(due: date | None, day: date | None) -> int | None:
    return (due - day).days if due is not None and day is not None else None


def _days_since(task_id: str, known: Known) -> int | None:
    """None where that is unknown, or where after a long time away it gives no claim."""
    if known.days_away is not None:
        return None
    last, day = known.done_tasks.get(task_id), known.request.date
    return (day - last).days if last is not None and day is not None else None


def _units(body: Body, form: Form, known: Known) -> tuple[SettledUnit, ...]:
    if form == "study":
        return studied_units(body.material, known.policy)
    needs_no_details = _is_beyond(known.request.learner.level, body.exercise)
    return tuple([_without_detail(unit) for unit in body.units]) if needs_no_details else body.units


def _is_beyond(level: Level | None, exercise: Exercise | None) -> bool:
    """Whether somebody of that level needs no telling what stands beside the units of an exercise."""
    if level is None or exercise is None or exercise.details_up_to is None:
        return False
    return LEVELS.index(level) > LEVELS.index(exercise.details_up_to)


@lru_cache(maxsize=4096)
def _without_detail(unit: SettledUnit) -> SettledUnit:
    return replace(unit, detail=None)


def _words(body: Body, form: Form, family: Family, stage: Stage, known: Known) -> Words:
    if form == "study":
        along = along_today(known.request.circumstances, family, stage)
        return study_words(body.words, body.area, body.title, body.material, along, known.policy)
    if form == "soft" and body.exercise is not None:
        return words_of_soft_form(body.words, body.exercise, known.instruments.wording)
    if form == "soft":
        return words_of_softened(body.words, known.instruments.family(known.request.instrument))
    return body.words


def _shut_out(placed: PlacedTask, exercise: Exercise | None, known: Known) -> str | None:
    if placed.task.pin == "never":
        return "engine.reason.never"
    if exercise is not None and too_wide(exercise, known.request.learner.limits):
        return "engine.reason.limits"
    return None
