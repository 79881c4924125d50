"""What one student's devices sent, as the test itself keeps it: the independent half of every comparison."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from msgspec import Struct, field

from tests.integration.school import As
from tests.integration.year.scenario import Pupil

LOOKS_BACK = timedelta(days=366)


class Logged(Struct, kw_only=True):
    """One entry as it was sent last."""

    id: str
    day: date
    kind: str
    seconds: int
    task: str | None = None
    """The task's stored id."""
    area: str | None = None
    units: tuple[str, ...] = ()
    step: str | None = None
    body: dict[str, Any] = {}
    """As it goes over the line, without its id."""
    revision: int = 1


class TaskHad(Struct, kw_only=True):
    """A task that a student's routine has or had."""

    id: str
    key: str
    area: str
    since: date
    units: tuple[str, ...]
    current: bool = True


class StepGiven(Struct, frozen=True):
    """A step of a sheet that is played."""

    id: str
    task: str
    """The stored id, or what stands in calls itself."""


class SheetGiven(Struct, kw_only=True):
    """A day's sheet as it was answered last, and all that it was made from."""

    day: date
    kind: str
    seconds: int
    """Of its windows."""
    steps: tuple[StepGiven, ...]
    plan: str
    plan_revision: int
    revision: int
    text: bytes
    """The whole answer but for its notices, which are the request's."""
    asks: list[dict[str, Any]]
    last_done: dict[str, dict[str, date]]


class Record(Struct, kw_only=True):
    """One student."""

    pupil: Pupil
    id: str
    caller: As
    came_in: date
    routine: str = ""
    plans: dict[str, str] = {}
    """By kind."""
    tasks: list[TaskHad] = field(default_factory=list)
    """In the order of the routine; former ones stay among them."""
    known: dict[str, Logged] = field(default_factory=dict)
    """Entries that the service has been told, by id."""
    waiting: list[Logged] = field(default_factory=list)
    """On the phone alone."""
    removed: dict[str, Logged] = field(default_factory=dict)
    sheets: dict[date, SheetGiven] = field(default_factory=dict)
    weekdays_off: tuple[int, ...] = ()
    spans_off: tuple[tuple[date, date], ...] = ()
    is_offline: bool = False

    @property
    def path(self) -> str:
        return f"/v1/students/{self.id}"

    def task(self, key: str) -> TaskHad:
        """The task that has the key now, or had it last."""
        return [task for task in self.tasks if task.key == key][-1]

    @property
    def current_tasks(self) -> list[TaskHad]:
        return [task for task in self.tasks if task.current]

    def last_done(self, day: date, also: Iterable[Logged] = ()) -> dict[str, dict[str, date]]:
        """When each unit was last done before a day, by what the service was told so far."""
        keys = {task.id: task.key for task in self.tasks}
        found: dict[str, dict[str, date]] = {}
        for entry in (*self.known.values(), *also):
            if entry.task in keys and day - LOOKS_BACK <= entry.day < day:
                units = found.setdefault(keys[entry.task], {})
                for unit in entry.units:
                    units[unit] = max(entry.day, units.get(unit, entry.day))
        return {key: units for key, units in found.items() if units}
