"""Other plans that would do: one with fewer things, one with another set; and whether it is a toss-up."""

from collections.abc import Callable, Iterable
from typing import TypeAlias

from msgspec import Struct

from bagatelle.engine.ladder import doses_shown
from bagatelle.engine.problem import Item, Problem
from bagatelle.model.plan import Alternative
from bagatelle.policy.table import Policy

ALTERNATIVE_STEPS = 400


class OtherPlan(Struct, frozen=True, kw_only=True):
    """A plan of the same problem, in short."""

    worth: int
    doses: dict[str, int]


Solve: TypeAlias = Callable[[int | None, frozenset[str] | None], OtherPlan | None]
"""Solves the same problem with a tighter task limit, or without one set of tasks."""


class Others(Struct, frozen=True, kw_only=True):
    """What else would do."""

    alternatives: tuple[Alternative, ...]
    toss_up: bool


def others(problem: Problem, worth: int, doses: dict[str, int], solve: Solve, policy: Policy) -> Others:
    """The alternatives to a plan, and whether another set of tasks comes within a hundredth of it."""
    kept = frozenset(doses)
    count = problem.things(kept)
    fewer = solve(count - 1, None) if count > 1 else None
    other = _with_twin(problem.items, worth, doses) or solve(None, kept)
    near = [
        plan for plan in (fewer, other) if plan is not None and plan.worth >= (1 - policy.toss_up) * worth
    ]
    return Others(alternatives=tuple(_shown(problem, fewer, other)), toss_up=bool(near))


def _with_twin(items: Iterable[Item], worth: int, doses: dict[str, int]) -> OtherPlan | None:
    """The same plan with a task changed for one that no plan can tell from it, where there is one.

    Nothing can be worth more than the plan itself, so it is the best with another set.
    """
    spare = {
        _nameless(item): item.id
        for item in reversed(list(items))
        if item.id not in doses and not item.stand_in
    }
    for item in items:
        twin = spare.get(_nameless(item)) if item.id in doses else None
        if twin is not None:
            changed = {twin if task == item.id else task: units for task, units in doses.items()}
            return OtherPlan(worth=worth, doses=changed)
    return None


def _nameless(item: Item) -> tuple[object, ...]:
    return tuple(getattr(item, field) for field in item.__struct_fields__ if field != "id")


def _shown(problem: Problem, fewer: OtherPlan | None, other: OtherPlan | None) -> Iterable[Alternative]:
    items = {item.id: item for item in problem.items}
    if fewer is not None:
        yield Alternative(why="fewer things", worth=fewer.worth, doses=doses_shown(fewer.doses, items))
    if other is not None and (fewer is None or other.doses.keys() != fewer.doses.keys()):
        yield Alternative(why="another set", worth=other.worth, doses=doses_shown(other.doses, items))
