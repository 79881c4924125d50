"""How long a task may be on a day, how often it may go round, and the least of it that is worth doing."""

import math
from typing import Final

from bagatelle.engine.budget import seconds_of
from bagatelle.engine.known import Body, Known
from bagatelle.engine.own_task import says_how_often
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.settled import Form
from bagatelle.engine.study import longest_study_seconds
from bagatelle.model.exercise import Exercise
from bagatelle.model.request import Task
from bagatelle.model.vocabulary import MUSIC_AREAS, Divisibility
from bagatelle.policy.table import Policy

_MINUTE: Final = 60


def cap_of(body: Body, form: Form, due_days: int | None, known: Known, *, at_rest: bool) -> int | None:
    """The most of it that a day should hold: the exercise's own, and what a head or a day of playing takes."""
    policy = known.policy
    caps = [body.exercise.daily_cap_seconds] if body.exercise is not None and form != "study" else []
    if form == "study":
        caps += [longest_study_seconds(body.material), policy.mental_seconds]
    elif due_days == 0 and body.area in MUSIC_AREAS and body.has_passages:
        # On the day itself each passage has its turn once, and then it is left alone. Common practice, no source.
        caps.append(body.round_seconds)
    if form != "usual" and at_rest and known.request.circumstances.focus == "low":
        caps.append(policy.scattered_mental_seconds)
    return min((cap for cap in caps if cap is not None), default=None)


def rounds_held_from(task: Task, body: Body, form: Form, policy: Policy) -> int | None:
    """How many rounds any day may hold, of what the learner says how often to play; see `SettledTask`.

    One, or as many as the smallest useful chunk that the learner names takes. Once each is such a number of what is
    long; a few bars that are counted once through and given twenty minutes plainly go round. What is studied is
    held as mental work is.
    """
    counted = max(unit.passes for unit in body.units) >= policy.counted_passes
    counted = counted if body.exercise is not None else says_how_often(task, policy)
    if form == "study" or not (counted or body.round_seconds >= policy.long_round_seconds):
        return None
    return max(math.ceil((task.smallest_chunk_seconds or 0) / body.round_seconds), 1)


def chunk_of(
    placed: PlacedTask,
    body: Body,
    divisibility: Divisibility,
    policy: Policy,
    *,
    due_days: int | None,
    is_unready: bool,
) -> int:
    """The smallest useful chunk: named, else the exercise's, else by divisibility; at most the usual time.

    By divisibility no more than half of the usual time, but for a minute and for what is played whole: of a short
    thing a part is worth doing that is shorter still. What takes long once round is enough once; of what is due
    soon and not ready, one place is; on the day itself a minute of music is. Common practice, no source.
    """
    named = placed.task.smallest_chunk_seconds
    if named is None and body.exercise is not None:
        named = body.exercise.smallest_chunk_seconds
    if named is None:
        named = policy.chunk_seconds[divisibility]
        if divisibility != "whole":
            named = min(named, max(body.usual_seconds // 2, _MINUTE))
            if body.round_seconds >= policy.long_round_seconds:
                named = min(named, body.round_seconds)
            if due_days == 0 and body.area in MUSIC_AREAS:
                named = min(named, _MINUTE)
            if is_unready:
                named = min(named, *(unit.time.seconds for unit in body.units))
    return min(named, body.usual_seconds)


def set_up_of(placed: PlacedTask, exercise: Exercise | None, policy: Policy) -> int:
    """Seconds to get to it: named, else the exercise's, else those of the policy."""
    if placed.task.set_up_seconds is not None:
        return placed.task.set_up_seconds
    return exercise.set_up_seconds if exercise is not None else policy.set_up_seconds


def room_of(placed: PlacedTask, known: Known) -> int:
    """How long a proposed piece may be, so that the day holds it; a task without pieces is no longer either."""
    usual_seconds = seconds_of(placed.minutes)
    left = known.day_seconds - set_up_of(placed, None, known.policy)
    return max(min(usual_seconds, left), min(usual_seconds, known.policy.own_unit_seconds))
