"""The ladder walked down, stated a second time."""

from collections.abc import Mapping

from bagatelle.model.plan import Rung
from bagatelle.verify.figures import Task
from bagatelle.verify.subject import Subject, Terms


class Walk:
    """What is played so far and what room is left, while the rungs are tried in order."""

    def __init__(self, subject: Subject, terms: Terms, start: Mapping[str, int]) -> None:
        self._subject = subject
        self._terms = terms
        self.played = dict(start)
        """Playing seconds of each task."""
        self._left = terms.capacity_seconds - subject.cost(start)

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
        terms = self._terms
        prepared = any(self._subject.tasks[name].prepares for name in self.played)
        return (
            units >= max(1, task.floor_units(terms.budget_seconds, terms.floor_mode))
            and len(self.played) < terms.limit
            and (prepared or not task.strains or not terms.prepare)
        )


def walk(subject: Subject, terms: Terms, start: Mapping[str, int]) -> dict[str, int]:
    """Playing seconds of each task after the whole ladder, from the doses of a prepared plan."""
    day = Walk(subject, terms, start)
    for rung in subject.plan.ladder.rungs:
        if rung.task in subject.available:
            day.climb(rung)
    return day.played
