"""What was played: of one day, and of all days so far as the next plan needs it."""

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from bagatelle.engine.rotation import LastDone, last_done_tasks, last_done_units
from bagatelle.model.request import HistoryEntry


class TaskPlayed(Struct, frozen=True, kw_only=True):
    """One task on one day."""

    task: str
    seconds: int
    units: tuple[str, ...]
    """Whole units, each once, in the order of rotation."""


class DayPlayed(Struct, frozen=True, kw_only=True):
    """One day; nothing was played where it has no tasks."""

    tasks: tuple[TaskPlayed, ...] = ()
    search_steps: int = 0

    @property
    def seconds(self) -> int:
        """Playing seconds, set-ups not counted."""
        return sum(each.seconds for each in self.tasks)


class Log:
    """A history that holds only the last day of each task and unit: a plan looks at nothing else of it."""

    def __init__(self, history: Iterable[HistoryEntry], first_day: date) -> None:
        before = tuple(history)
        self._units = last_done_units(before, first_day)
        self._tasks = last_done_tasks(before, first_day)

    @property
    def last_done(self) -> LastDone:
        """When each unit was last done."""
        return self._units

    def add(self, day: date, played: Sequence[TaskPlayed]) -> None:
        """Add a day, which must be later than all before it."""
        for each in played:
            self._tasks[each.task] = day
            for unit in each.units:
                self._units[each.task, unit] = day

    def entries(self) -> tuple[HistoryEntry, ...]:
        """The log as the history of a request."""
        units: dict[tuple[str, date], list[str]] = {(task, day): [] for task, day in self._tasks.items()}
        for (task, unit), day in self._units.items():
            units.setdefault((task, day), []).append(unit)
        return tuple(
            HistoryEntry(task=task, date=day, units=tuple(names)) for (task, day), names in units.items()
        )
