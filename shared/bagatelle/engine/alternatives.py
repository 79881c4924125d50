"""Other plans that would do: one with fewer things, one with another set; and whether it is a toss-up."""

from collections.abc import Callable, Iterable
from typing import TypeAlias

from msgspec import Struct

from bagatelle.engine.doses import floor_units, scale_of
from bagatelle.engine.ladder import doses_shown
from bagatelle.engine.problem import Problem
from bagatelle.model.plan import Alternative
from bagatelle.policy.table import Policy

ALTERNATIVE_STEPS = 1600


class OtherPlan(Struct, frozen=True, kw_only=True):
    """A plan of the same problem, in short."""

    worth: int
    doses: dict[str, int]
    bound: int
    """No plan of the kind is worth more."""


Solve: TypeAlias = Callable[[int | None, frozenset[str] | None], OtherPlan | None]
"""Solves the same problem with a tighter task limit, or without one set of tasks."""


class Others(Struct, frozen=True, kw_only=True):
    """What else would do."""

    alternatives: tuple[Alternative, ...]
    toss_up: bool
    toss_up_sought: bool
    """Whether it is known that there is none, where none is said."""


def others(
    problem: Problem, worth: int, doses: dict[str, int], solve: Solve, policy: Policy, *, one_window: bool
) -> Others:
    """The alternatives to a plan, and whether another set of tasks comes within a hundredth of it."""
    kept = frozenset(doses)
    count = problem.things(kept)
    fewer = solve(count - 1, None) if count > 1 else None
    other = _with_twin(_natures(problem, one_window=one_window), worth, doses) or solve(None, kept)
    near = [
        plan for plan in (fewer, other) if plan is not None and plan.worth >= (1 - policy.toss_up) * worth
    ]
    return Others(
        alternatives=tuple(_shown(problem, fewer, other)),
        toss_up=bool(near),
        toss_up_sought=bool(near) or other is None or other.bound < (1 - policy.toss_up) * worth,
    )


def _with_twin(natures: dict[str, tuple[object, ...]], worth: int, doses: dict[str, int]) -> OtherPlan | None:
    """The same plan with a task changed for one that no plan can tell from it, where there is one.

    Nothing can be worth more than the plan itself, so it is the best with another set.
    """
    spare = {nature: task for task, nature in reversed(natures.items()) if task not in doses}
    for task, nature in natures.items():
        twin = spare.get(nature) if task in doses else None
        if twin is not None:
            changed = {twin if kept == task else kept: units for kept, units in doses.items()}
            return OtherPlan(worth=worth, doses=changed, bound=worth)
    return None


def _natures(problem: Problem, *, one_window: bool) -> dict[str, tuple[object, ...]]:
    """By id, all that plans can tell each task of the routine by.

    In one window a chunk counts only as part of the floor; in several it is the least of each visit too.
    """
    seen_in_floor = {"chunk_seconds", "short_floor"} if one_window else set()
    return {
        item.id: (
            floor_units(item, scale_of(item), problem.budget_seconds, problem.floor_mode),
            *(
                getattr(item, field)
                for field in item.__struct_fields__
                if field != "id" and field not in seen_in_floor
            ),
        )
        for item in problem.items
        if not item.stand_in
    }


def _shown(problem: Problem, fewer: OtherPlan | None, other: OtherPlan | None) -> Iterable[Alternative]:
    items = {item.id: item for item in problem.items}
    if fewer is not None:
        yield Alternative(why="fewer things", worth=fewer.worth, doses=doses_shown(fewer.doses, items))
    if other is not None and (fewer is None or other.doses.keys() != fewer.doses.keys()):
        yield Alternative(why="another set", worth=other.worth, doses=doses_shown(other.doses, items))
