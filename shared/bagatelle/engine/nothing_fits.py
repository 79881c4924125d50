"""Where nothing fits: which task needs least, and whether a longer window would do."""

from collections.abc import Iterable

from bagatelle.engine.budget import Budget, Slack, playing_seconds_of, smallest_window_of
from bagatelle.engine.settled import SettledTask
from bagatelle.model.errors import NoShortDayFitsError, NothingFitsError
from bagatelle.policy.table import Policy


def nothing_fits(
    allowed: Iterable[SettledTask], budget: Budget, slack: Slack, policy: Policy
) -> NothingFitsError | NoShortDayFitsError:
    """The error to raise where a day holds none of the tasks that may be planned.

    The smallest plan is one unit of one task, so the task whose set-up and first unit take least decides. A window
    that is longer than what counts as short has no slack: the plan ends before it.
    """
    task = min(allowed, key=lambda one: (_least_seconds(one), one.id))
    needed = _least_seconds(task)
    largest = playing_seconds_of(budget.most_seconds, policy)
    if needed > largest:
        return NoShortDayFitsError(task.id, task.pointer, needed_seconds=needed, largest_seconds=largest)
    window = slack.smallest_window_of(smallest_window_of(needed, policy))
    return NothingFitsError(task.id, min(window, budget.most_seconds + 1))


def _least_seconds(task: SettledTask) -> int:
    return task.set_up_seconds + task.units[0].time.seconds
