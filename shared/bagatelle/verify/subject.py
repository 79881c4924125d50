"""The plan under test, with what several groups of checks need to know of it."""

import math
from collections.abc import Iterable, Mapping
from functools import cached_property

from msgspec import UNSET, Struct

from bagatelle.model.plan import Dose, Plan, Step
from bagatelle.model.vocabulary import MUSIC_AREAS, FloorMode
from bagatelle.verify.figures import Task, counted, is_due_soon, room, task_limit
from bagatelle.verify.optimum import Candidate, Window


class Terms(Struct, frozen=True, kw_only=True):
    """What a plan of one window has to keep to."""

    budget_seconds: int
    """What the floors are reckoned from."""
    capacity_seconds: int
    floor_mode: FloorMode
    limit: int
    prepare: bool
    music: bool
    more: bool
    """Whether there must be more than warm-ups."""
    must: frozenset[str]
    """Tasks that have to be kept."""
    aside: frozenset[str]
    """Tasks that do not come into it: the warm-up that stands in, where it is not needed."""


class Visit(Struct, frozen=True, kw_only=True):
    """One stay with a task inside one window: its steps, rests between them left out."""

    task: str
    window: int
    first_step: int
    """Position of its first step in `steps`."""
    steps: tuple[Step, ...]

    @property
    def seconds(self) -> int:
        """Playing seconds of the visit."""
        return sum(step.seconds for step in self.steps)


class Subject:
    """A plan, its tasks by id, and what its steps add up to."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.tasks = {numbers.task: Task(numbers, plan.policy) for numbers in plan.tasks}
        self.available = {key: task for key, task in sorted(self.tasks.items()) if task.numbers.available}

    @cached_property
    def task_steps(self) -> list[tuple[int, Step]]:
        """The steps that are no rests and whose task is known, with their positions in `steps`."""
        return [
            (position, step)
            for position, step in enumerate(self.plan.steps)
            if step.kind == "task" and step.task in self.tasks
        ]

    @cached_property
    def played_seconds(self) -> dict[str, int]:
        """Playing seconds of each kept task over the whole day."""
        played: dict[str, int] = {}
        for _, step in self.task_steps:
            task = step.task or ""
            played[task] = played.get(task, 0) + step.seconds
        return played

    @cached_property
    def visits(self) -> list[Visit]:
        """The visits, in the order of the day.

        A step that continues the task of the step before it, rests left out, in the same window, belongs to
        the same visit.
        """
        visits: list[Visit] = []
        for position, step in self.task_steps:
            last = visits[-1] if visits else None
            if last and step.continues and (last.task, last.window) == (step.task, step.window):
                visits[-1] = Visit(
                    task=last.task,
                    window=last.window,
                    first_step=last.first_step,
                    steps=(*last.steps, step),
                )
            else:
                visits.append(
                    Visit(task=step.task or "", window=step.window, first_step=position, steps=(step,))
                )
        return visits

    @cached_property
    def single_window(self) -> bool:
        """Whether the day is one window."""
        return len(self.plan.windows) == 1

    @cached_property
    def capacity_seconds(self) -> int:
        """Seconds of set-ups and doses that the day holds, were its windows one."""
        if self.single_window:
            return self.room(min(self.plan.budget_seconds, self.plan.windows[0].seconds))
        return min(self.plan.budget_seconds, sum(self.room(each.seconds) for each in self.plan.windows))

    def room(self, window_seconds: int) -> int:
        """Seconds of set-ups and doses that a window of this day holds."""
        return room(self.plan.policy, window_seconds)

    @cached_property
    def pinned(self) -> frozenset[str]:
        """Available tasks that are pinned always."""
        return frozenset(name for name, task in self.available.items() if task.numbers.pin == "always")

    @cached_property
    def own_warm_up(self) -> frozenset[str]:
        """The first warm-up of the routine, where something else is played today and it is not pinned anyway."""
        others = (task for task in self.available.values() if not task.is_warm_up)
        if all(task.numbers.strain == "none" for task in others):
            return frozenset()
        own = (
            numbers.task
            for numbers in self.plan.tasks
            if numbers.available and numbers.area == "warm-up" and numbers.prepares and not numbers.stand_in
        )
        return frozenset(list(own)[:1]) - self.pinned

    def opening_at(self, budget_seconds: int) -> frozenset[str]:
        """The own warm-up where it is asked for: from a budget on, and no more than a part of what is played."""
        policy = self.plan.policy
        if budget_seconds < policy.own_warm_up_from_seconds:
            return frozenset()
        most = math.floor(self.room(budget_seconds) * policy.own_warm_up_share + 1e-6)
        tasks = (self.tasks[name] for name in self.own_warm_up)
        return frozenset(task.id for task in tasks if task.cost(task.dose_seconds[task.chunk_units]) <= most)

    @cached_property
    def stand_ins(self) -> frozenset[str]:
        """The warm-up of the catalogue that stands in, where there is one."""
        return frozenset(name for name, task in self.tasks.items() if task.numbers.stand_in)

    @cached_property
    def aside_at_first(self) -> frozenset[str]:
        """The stand-in, unless nothing of the routine itself prepares."""
        own = (task for name, task in self.available.items() if name not in self.stand_ins)
        return self.stand_ins if any(task.prepares for task in own) else frozenset()

    @cached_property
    def something_prepares(self) -> bool:
        """Whether there is anything that may come before what strains."""
        return any(task.prepares for task in self.available.values())

    @cached_property
    def something_is_music(self) -> bool:
        """Whether there is a piece or improvisation in hand or due soon."""
        return any(task.music for task in self.available.values())

    @cached_property
    def something_is_more(self) -> bool:
        """Whether there is anything but warm-ups."""
        return any(not task.is_warm_up for task in self.available.values())

    @cached_property
    def plays_more_than_a_warm_up(self) -> bool:
        """Whether the day itself holds anything but warm-ups."""
        return any(not self.tasks[task].is_warm_up for task in self.played_seconds if task in self.tasks)

    @cached_property
    def things_kept(self) -> int:
        """How many of the kept tasks count."""
        return counted([self.tasks[task] for task in self.played_seconds if task in self.tasks])

    @cached_property
    def music_is_due_soon(self) -> bool:
        """Whether a piece that may be planned is due soon: then it alone stands for the day's music."""
        near_days = self.plan.policy.near_days
        return any(
            task.numbers.area in MUSIC_AREAS and is_due_soon(task.numbers, near_days)
            for task in self.available.values()
        )

    def music_is_due(self, budget_seconds: int) -> bool:
        """Whether the rule about music holds at a budget."""
        return self.something_is_music and budget_seconds >= self.plan.policy.music_from_seconds

    def limit_at(self, budget_seconds: int) -> int:
        """How many things may be kept at a budget, where the duties need no more."""
        return max(task_limit(self.plan.policy, budget_seconds), self._as_on_the_usual_day(budget_seconds))

    def _as_on_the_usual_day(self, budget_seconds: int) -> int:
        """How many things the usual day has in the time that a budget plays; what prepares is no thing."""
        costs = self._whole_costs
        return min(self.room(budget_seconds) * len(costs) // max(sum(costs), 1), len(costs))

    @cached_property
    def _whole_costs(self) -> list[int]:
        return [
            task.cost(task.seconds_in_full)
            for task in self.available.values()
            if not task.prepares and task.id not in self.stand_ins
        ]

    @property
    def reported_limit(self) -> int:
        """The number of tasks that the plan says it may keep; the policy's where it says none."""
        limits = [report.limit for report in self.plan.rules if report.limit is not UNSET]
        return limits[0] if limits else self.limit_at(self.plan.budget_seconds)

    def worth(self, seconds_by_task: Mapping[str, int]) -> int:
        """Worth of so many playing seconds of each task."""
        return sum(self.tasks[task].worth(seconds) for task, seconds in seconds_by_task.items())

    def cost(self, seconds_by_task: Mapping[str, int]) -> int:
        """Seconds of set-ups and doses, each task visited once."""
        return sum(self.tasks[task].cost(seconds) for task, seconds in seconds_by_task.items())

    @cached_property
    def reported_terms(self) -> Terms:
        """The terms of the day, its windows taken as one, as the plan itself reports them."""
        kept = {report.rule: report.kept for report in self.plan.rules}
        budget = self.plan.budget_seconds
        return Terms(
            budget_seconds=budget,
            capacity_seconds=self.capacity_seconds,
            floor_mode=self.plan.floor_mode,
            limit=self.reported_limit,
            prepare=self.something_prepares and kept.get("warm-up-before-strain", False),
            music=self.music_is_due(budget) and kept.get("music-in-hand", False),
            more=self.plays_more_than_a_warm_up,
            must=(self.pinned | self.opening_at(budget)) & self.played_seconds.keys(),
            aside=frozenset(),
        )

    def window(self, terms: Terms) -> Window:
        """The question for the optimiser: all legal plans of one window on these terms."""
        return Window(
            candidates=tuple(
                _candidate(task, terms) for task in self.available.values() if task.id not in terms.aside
            ),
            capacity_seconds=terms.capacity_seconds,
            count_limit=terms.limit,
            prepare=terms.prepare,
            music=terms.music,
            more=terms.more,
        )


def _candidate(task: Task, terms: Terms) -> Candidate:
    floor = task.floor_units(terms.budget_seconds, terms.floor_mode)
    return Candidate(
        id=task.id,
        must=task.id in terms.must,
        prepares=task.prepares,
        strains=task.strains,
        music=task.music,
        warm_up=task.is_warm_up,
        stand_in=task.numbers.stand_in,
        doses=tuple(
            (task.cost(seconds), task.worth(seconds)) for seconds in task.dose_seconds[max(floor, 1) :]
        ),
    )


def seconds_by_task(doses: Iterable[Dose]) -> dict[str, int]:
    """Doses as a mapping; the last one wins where a task is named twice."""
    return {dose.task: dose.seconds for dose in doses}
