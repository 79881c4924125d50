"""What kinds of student and day the corpus holds, read from the requests alone."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Final

from bagatelle import CompressionRequest
from bagatelle.model.request import Circumstances, PolicyChoices, Task

from tests.corpus.worked_routine import WorkedRoutine

Kind = Callable[[WorkedRoutine], bool]

HARDSHIPS: Final = frozenset(
    {"little time", "scraps", "low energy", "low focus", "quiet", "no instrument", "soreness"}
)
"""All kinds of hard day; a day gives minutes or windows, so it has at most one of the first two."""
LONG_AWAY: Final = timedelta(days=21)
SOON: Final = timedelta(days=14)


def usual_minutes(request: CompressionRequest) -> float:
    """The sum of the tasks' minutes; every task of the corpus says its own, or its block does."""
    return sum(
        sum(_given(task.minutes) for task in block.tasks) if block.tasks else _given(block.minutes)
        for block in request.routine.blocks
    )


def hardships(request: CompressionRequest) -> frozenset[str]:
    """What makes the day a hard one; minutes beyond half of the usual time do not."""
    day = request.circumstances
    given = {
        "little time": day.minutes is not None and not longer_than_half(request),
        "scraps": len(day.windows) > 1,
        "low energy": day.energy == "low",
        "low focus": day.focus == "low",
        "quiet": day.quiet,
        "no instrument": not day.instrument_at_hand,
        "soreness": day.soreness or bool(day.sore),
    }
    return frozenset(name for name, is_so in given.items() if is_so)


def longer_than_half(request: CompressionRequest) -> bool:
    """Whether the day gives more than counts as short."""
    minutes = request.circumstances.minutes
    return minutes is not None and minutes > usual_minutes(request) / 2


def quarter_of_two_hours(request: CompressionRequest) -> bool:
    """Whether nothing is said of the day and the usual one is of two hours: 30 minutes."""
    return usual_minutes(request) == 120 and request.circumstances == Circumstances()


def tasks_of(request: CompressionRequest) -> list[Task]:
    """The tasks of all blocks; a block without any has none."""
    return [task for block in request.routine.blocks for task in block.tasks]


def is_bare(request: CompressionRequest) -> bool:
    """Whether there are only titles and minutes, of blocks or of tasks."""
    plain_blocks = all(block.area is None for block in request.routine.blocks)
    plain_tasks = all(task == Task(title=task.title, minutes=task.minutes) for task in tasks_of(request))
    return plain_blocks and plain_tasks


def due_soon(request: CompressionRequest, within: timedelta = SOON) -> bool:
    """Whether something is due within so many days."""
    day = request.date
    return day is not None and any(
        task.due is not None and timedelta() <= task.due - day <= within for task in tasks_of(request)
    )


def long_away(request: CompressionRequest) -> bool:
    """Whether nothing was done for weeks, after something had been."""
    last = max(_days_of_history(request), default=None)
    return last is not None and request.date is not None and request.date - last >= LONG_AWAY


def one_task_long_away(request: CompressionRequest) -> bool:
    """Whether one task has waited for weeks while others went on."""
    last: dict[str, date] = {}
    for entry in request.history:
        last[entry.task] = max(entry.date, last.get(entry.task, entry.date))
    return bool(last) and max(last.values()) - min(last.values()) >= LONG_AWAY


def _days_of_history(request: CompressionRequest) -> Iterator[date]:
    return (entry.date for entry in request.history)


def _given(minutes: float | None) -> float:
    assert minutes is not None, "a task or a block of the corpus says its minutes"
    return minutes


def _minutes(minutes: float) -> Kind:
    return lambda one: one.request.circumstances.minutes == minutes


def _windows(count: int) -> Kind:
    return lambda one: len(one.request.circumstances.windows) == count


def _level(level: str) -> Kind:
    return lambda one: one.request.learner.level == level


def _pin(pin: str) -> Kind:
    return lambda one: any(task.pin == pin for task in tasks_of(one.request))


def _usual(least: float, most: float) -> Kind:
    return lambda one: least <= usual_minutes(one.request) <= most


KINDS: Final[dict[str, tuple[int, Kind]]] = {
    "a child": (5, lambda one: one.student.age_years <= 12),
    "somebody past sixty": (2, lambda one: one.student.age_years >= 60),
    **{
        f"level: {level}": (2, _level(level))
        for level in ("beginner", "elementary", "intermediate", "advanced", "professional")
    },
    "catalogue of the piano": (10, lambda one: one.request.instrument == "piano"),
    "catalogue of the snare drum": (5, lambda one: one.request.instrument == "snare-drum"),
    "no exercise of a catalogue": (
        20,
        lambda one: all(task.exercise is None for task in tasks_of(one.request)),
    ),
    "10 to 20 usual minutes": (4, _usual(10, 20)),
    "21 to 60 usual minutes": (10, _usual(21, 60)),
    "61 to 120 usual minutes": (10, _usual(61, 120)),
    "over 2 usual hours": (4, _usual(121, 240)),
    "10 usual minutes": (1, _usual(10, 10)),
    "4 usual hours": (1, _usual(240, 240)),
    "something due soon": (10, lambda one: due_soon(one.request)),
    "something due within three days": (3, lambda one: due_soon(one.request, timedelta(days=3))),
    "all of it new": (1, lambda one: all(task.stage == "new" for task in tasks_of(one.request) or [Task()])),
    "one giant block": (1, lambda one: usual_minutes(one.request) >= 60 and len(tasks_of(one.request)) == 1),
    "many tiny tasks": (
        2,
        lambda one: (
            len(tasks_of(one.request)) >= 12
            and all(_given(task.minutes) <= 3 for task in tasks_of(one.request))
        ),
    ),
    "bare titles": (3, lambda one: is_bare(one.request)),
    **{f"{minutes} minutes": (1, _minutes(minutes)) for minutes in (5, 8, 10, 15, 20)},
    **{f"{count} windows": (1, _windows(count)) for count in (2, 3, 4, 5, 6)},
    "nothing said of the day": (3, lambda one: one.request.circumstances == Circumstances()),
    "a day longer than half": (2, lambda one: longer_than_half(one.request)),
    "the quarter of two hours": (7, lambda one: quarter_of_two_hours(one.request)),
    "everything at once": (2, lambda one: len(hardships(one.request)) == len(HARDSHIPS) - 1),
    **{f"pinned: {pin}": (1, _pin(pin)) for pin in ("always", "never", "more", "less")},
    "weeks without practice": (2, lambda one: long_away(one.request)),
    "one task that waited for weeks": (1, lambda one: one_task_long_away(one.request)),
    "a small hand": (2, lambda one: (one.request.learner.limits.widest_interval_semitones or 24) < 12),
    "numbers of the policy chosen": (2, lambda one: one.request.policy != PolicyChoices()),
}
"""Each kind with how many routines of it there are at least."""
