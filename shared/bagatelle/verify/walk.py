"""The ladder walked down, stated a second time."""

from bagatelle.model.plan import PreparedPlan, Rung
from bagatelle.model.vocabulary import FloorMode
from bagatelle.verify.figures import Task, counted
from bagatelle.verify.subject import Subject, seconds_by_task


class Walk:
    """What is played so far and what room is left, while the rungs are tried in order."""

    def __init__(self, subject: Subject, budget_seconds: int, start: PreparedPlan | None) -> None:
        self._subject = subject
        self._budget = budget_seconds
        self._floor_mode: FloorMode = start.floor_mode if start else "usual"
        self.played = seconds_by_task(start.doses) if start else {}
        """Playing seconds of each task."""
        self._left = subject.room(budget_seconds) - subject.cost(self.played)

    def climb(self, rung: Rung) -> None:
        """Take a rung, shortened by whole units where it does not fit, or skip it."""
        task = self._subject.tasks[rung.task]
        have = self.played.get(task.id, 0)
        if rung.to_seconds <= have:
            return
        set_up = 0 if have else task.set_up_seconds
        room = self._left - set_up
        units = task.units_within(min(rung.to_seconds, have + room))
        seconds = task.dose_seconds[units]
        if seconds <= have or (not have and not self._may_enter(task, units)):
            return
        self.played[task.id] = seconds
        self._left -= set_up + seconds - have

    def _may_enter(self, task: Task, units: int) -> bool:
        """Whether a task may be begun with so many units."""
        prepared = any(self._subject.tasks[name].prepares for name in self.played)
        return (
            units >= max(1, task.floor_units(self._budget, self._floor_mode))
            and counted([task, *(self._subject.tasks[name] for name in self.played)])
            <= self._subject.limit_at(self._budget)
            and (prepared or not task.strains or not self._subject.something_prepares)
        )


def walk(subject: Subject, budget_seconds: int, start: PreparedPlan | None) -> dict[str, int]:
    """Playing seconds of each task after the whole ladder, from the doses of a prepared plan."""
    day = Walk(subject, budget_seconds, start)
    for rung in subject.plan.ladder.rungs:
        if rung.task in subject.available:
            day.climb(rung)
    return day.played
