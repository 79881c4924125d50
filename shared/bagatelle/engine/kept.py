"""What a plan keeps, for saying why another task did not come through."""

from collections.abc import Mapping

from msgspec import Struct

from bagatelle.engine.problem import Problem, things
from bagatelle.engine.settled import SettledTask
from bagatelle.model.request import Circumstances


class Kept(Struct, frozen=True, kw_only=True):
    """The kept tasks, what they get, and what the day has left."""

    problem: Problem
    circumstances: Circumstances
    tasks: tuple[SettledTask, ...]
    seconds: Mapping[str, int]
    """Playing seconds of each kept task."""
    days_since: Mapping[str, int]
    """Days since each task, kept or not, was last done; where that is known."""
    longest_window_seconds: int
    left_seconds: tuple[int, ...]
    """Playing time of each window that the plan leaves over; together they may be more than the day holds."""
    day_left_seconds: int
    leaves_free: bool
    """Whether some of the day's time is left free on purpose."""

    @property
    def things(self) -> int:
        """How many of them count."""
        return things(self.tasks)

    @property
    def prepares(self) -> bool:
        """Whether one of them is the warm-up that comes on top."""
        return any(task.prepares for task in self.tasks)

    @property
    def rivals(self) -> tuple[SettledTask, ...]:
        """All of them but those that prepare."""
        return tuple(task for task in self.tasks if not task.prepares)
