"""How a day's work in the head is shared out, before the search: what is due first, then music, then by weight.

Some of it is put aside first: what is a matter of touch; on a day of soreness what strains most; with little focus
what the hands had better do; and the warm-up where nothing is left to warm up for.

Nothing in this hangs on how long the day is: more minutes never give a task less.
"""

from collections.abc import Callable, Iterable, Sequence

from msgspec.structs import replace

from bagatelle.engine.body import sore_places
from bagatelle.engine.budget import default_budget_seconds
from bagatelle.engine.doses import DoseScale, scale_of
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.terms import task_limit
from bagatelle.model.request import Circumstances
from bagatelle.model.vocabulary import TOUCH_AREAS
from bagatelle.policy.table import Policy

_Want = Callable[[SettledTask, DoseScale], int]


def hold_study(
    tasks: Sequence[SettledTask], circumstances: Circumstances, policy: Policy
) -> tuple[SettledTask, ...]:
    """Leave out what nobody does in the head, and share what one day may hold of mental work among the rest.

    What is due or pinned always comes first and gets all that it wants, the soonest first; then music, then by
    weight. Something stays that the shortest day holds, where there is anything of the kind. Only where the one
    piece that is quickest to do is longer than a day's mental work is more planned: that piece, once, and
    nothing else of the kind.
    """
    shortest_seconds = _shortest_day_seconds(tasks, policy)
    is_sore = bool(sore_places(circumstances))
    touch = "engine.reason.touch-while-sore" if is_sore else "engine.reason.touch-and-sound"
    tasks = _without(tasks, _is_drill, touch, shortest_seconds)
    tasks = _without(tasks, _strains_what_is_sore(tasks), "engine.reason.sore", shortest_seconds)
    if not any(_moves(task) for task in tasks):
        tasks = _without(tasks, _is_warm_up, "engine.reason.nothing-to-warm-up", shortest_seconds)
    elif circumstances.focus == "low":
        tasks = _without(tasks, _is_thought, "engine.reason.low-focus", shortest_seconds)
    shared = [task for task in tasks if task.in_the_head and task.shut_out is None]
    if not shared:
        return tuple(tasks)
    parts = _Shares(_reserved(tasks, shared, shortest_seconds), policy).of(shared)
    of_day = {task.id: _with_part(task, parts.get(task.id, 0), policy) for task in shared}
    return tuple(of_day.get(task.id, task) for task in tasks)


class _Shares:
    """The seconds of each task, and what is left of the day's."""

    def __init__(self, reserved: SettledTask | None, policy: Policy) -> None:
        self._policy = policy
        self._seconds: dict[str, int] = {}
        self._left = policy.mental_seconds
        if reserved is not None:
            self._give(reserved, _first_unit_seconds(reserved))

    def of(self, tasks: Sequence[SettledTask]) -> dict[str, int]:
        """What is due or pinned always gets all that it wants; then as many others as such a day may hold."""
        ranked = sorted(tasks, key=_rank)
        urgent = [task for task in ranked if _is_urgent(task)]
        others = [task for task in ranked if not _is_urgent(task)]
        places = max(task_limit(self._policy.mental_seconds, self._policy) - len(urgent), 0)
        self._fill(urgent, (_one_unit, _chunk, _all))
        self._fill(others[:places], (_chunk, _all))
        self._fill(others[places:], (_chunk, _all))
        return self._seconds

    def _fill(self, tasks: Iterable[SettledTask], wants: Sequence[_Want]) -> None:
        """Give each in turn the first that it wants, if that is left; then raise each in turn to the next."""
        scales = [(task, scale_of(task.item())) for task in tasks]
        first, *further = wants
        for task, scale in scales:
            has = self._seconds.get(task.id, 0)
            if has < first(task, scale) <= self._left + has:
                self._give(task, first(task, scale))
        for want in further:
            for task, scale in scales:
                has = self._seconds.get(task.id, 0)
                if has:
                    within = scale.seconds(scale.units_within(min(want(task, scale), has + self._left)))
                    self._give(task, max(within, has))

    def _give(self, task: SettledTask, seconds: int) -> None:
        self._left -= seconds - self._seconds.get(task.id, 0)
        self._seconds[task.id] = seconds


def _without(
    tasks: Sequence[SettledTask], is_aside: Callable[[SettledTask], bool], reason: str, shortest_seconds: int
) -> tuple[SettledTask, ...]:
    """Put these aside, unless nothing else is left.

    Where nothing else is as quick as the shortest day wants, the quickest of them stays beside it.
    """
    allowed = [task for task in tasks if task.shut_out is None]
    aside = [task for task in allowed if is_aside(task)]
    others = [task for task in allowed if not is_aside(task)]
    if not aside or not others:
        return tuple(tasks)
    quick = any(_quickness(task)[0] <= shortest_seconds for task in others)
    kept = None if quick else min(aside, key=_quickness)
    left_out = {task.id for task in aside if task is not kept}
    return tuple(replace(task, shut_out=reason) if task.id in left_out else task for task in tasks)


def _moves(task: SettledTask) -> bool:
    """Whether it is done by hands, lips or voice, after any warm-up."""
    return task.shut_out is None and task.strain != "none" and not task.prepares


def _reserved(
    tasks: Sequence[SettledTask], shared: Sequence[SettledTask], shortest_seconds: int
) -> SettledTask | None:
    """The task that is quickest to do, where without it the shortest day might have nothing."""
    quickest = min((task for task in tasks if task.shut_out is None), key=_quickness)
    if not quickest.in_the_head or _quickness(min(shared, key=_rank))[0] <= shortest_seconds:
        return None
    return quickest


def _shortest_day_seconds(tasks: Sequence[SettledTask], policy: Policy) -> int:
    """The shortest day for which plans are prepared; less, where the routine's own day is shorter."""
    usual_seconds = sum(task.usual_seconds for task in tasks)
    return min(min(policy.prepared_budgets_seconds), default_budget_seconds(usual_seconds, policy))


def _is_drill(task: SettledTask) -> bool:
    """In the head one studies music: warm-up, tone and technique are a matter of touch and sound."""
    return task.form == "study" and task.area in TOUCH_AREAS and task.pin != "always"


def _is_warm_up(task: SettledTask) -> bool:
    """In its soft form of no use where nothing follows that the body does; as it is, it may be work itself."""
    return task.area == "warm-up" and task.form == "soft" and task.pin != "always"


def _is_thought(task: SettledTask) -> bool:
    """What a scattered head had better leave to the hands; music stays, and what is due."""
    return task.in_the_head and not task.music and not _is_urgent(task)


def _strains_what_is_sore(tasks: Sequence[SettledTask]) -> Callable[[SettledTask], bool]:
    """What strains most is let alone in the head too; not what is due, nor the only music."""
    other_music = any(task.music and not task.strains_what_is_sore for task in tasks if task.shut_out is None)

    def is_it(task: SettledTask) -> bool:
        spared = _is_urgent(task) or (task.music and not other_music)
        return task.strains_what_is_sore and task.in_the_head and not spared

    return is_it


def _is_urgent(task: SettledTask) -> bool:
    return task.near or task.pin == "always"


def _rank(task: SettledTask) -> tuple[bool, bool, int, bool, float, str]:
    """Pinned always first, then what is due, the soonest first, then music, then by weight."""
    due_days = task.due_days if task.near and task.due_days is not None else 0
    return (task.pin != "always", not task.near, due_days, not task.music, -task.weight, task.id)


def _quickness(task: SettledTask) -> tuple[int, str]:
    return (task.set_up_seconds + _first_unit_seconds(task), task.id)


def _first_unit_seconds(task: SettledTask) -> int:
    return task.units[0].time.seconds


def _one_unit(task: SettledTask, _: DoseScale) -> int:
    return _first_unit_seconds(task)


def _chunk(task: SettledTask, scale: DoseScale) -> int:
    return scale.seconds(scale.units_reaching(task.chunk_seconds))


def _all(_: SettledTask, scale: DoseScale) -> int:
    return scale.seconds(scale.largest_units)


def _with_part(task: SettledTask, part_seconds: int, policy: Policy) -> SettledTask:
    if part_seconds > 0:
        return replace(task, cap_seconds=part_seconds, chunk_seconds=min(task.chunk_seconds, part_seconds))
    too_long = _first_unit_seconds(task) > policy.mental_seconds
    return replace(
        task, shut_out="engine.reason.mental-work-too-long" if too_long else "engine.reason.mental-work"
    )
