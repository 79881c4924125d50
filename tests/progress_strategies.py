"""Hypothesis strategies for what progress is made from: logs with revisions, days off, sheets, tasks."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cache

from bagatelle.model.progress import (
    DateSpan,
    DaysOff,
    LogEntry,
    LogKind,
    PracticeFacts,
    Progress,
    SheetMade,
    SheetStep,
    TaskFacts,
)
from bagatelle.progress.progress import progress_of
from bagatelle.wording import Wording, engine_texts
from bagatelle.wording.render import Say
from hypothesis import strategies as st

FIRST_DAY = date(2027, 1, 4)
TODAY = date(2027, 2, 10)
DAYS = [FIRST_DAY + timedelta(days=number) for number in range(-2, (TODAY - FIRST_DAY).days + 3)]
"""Some before the first and after today among them."""
KINDS: tuple[LogKind, ...] = ("usual", "short", "free")
TASKS = (
    TaskFacts(id="scales", title="Scales", area="technique", units=("c", "g", "d"), stage="refining"),
    TaskFacts(id="sonatina", title="Sonatina", area="repertoire", cadence_days=2, since=date(2027, 1, 20)),
    TaskFacts(id="old-study", title="Old study", area="technique", current=False),
)


@cache
def in_english() -> Say:
    """Return what says the engine's texts in English."""
    return Wording(engine_texts()).speaker("en")


def made_of(facts: PracticeFacts) -> Progress:
    """Return the progress that facts come to."""
    return progress_of(facts, in_english())


@st.composite
def log_entries(draw: st.DrawFn, number: int = 0) -> LogEntry:
    """One entry, its id made from a number; with a time, a unit, or neither."""
    task = draw(st.sampled_from([*TASKS, None]))
    return LogEntry(
        id=f"log-{number}",
        day=draw(st.sampled_from(DAYS)),
        kind=draw(st.sampled_from(KINDS)),
        task=None if task is None else task.id,
        area=None if task is None or draw(st.integers(0, 9)) == 0 else task.area,
        seconds=draw(st.sampled_from([0, 1, 60, 300, 1800])),
        units=() if task is None else draw(st.sampled_from([(), ("c",), ("c", "b-flat")])),
        step=None if task is None else draw(st.sampled_from([None, f"{task.id}-1", f"{task.id}-2"])),
        done_when_met=draw(st.sampled_from([None, True, False])),
    )


@st.composite
def logs(draw: st.DrawFn, most: int = 40) -> tuple[LogEntry, ...]:
    """Entries with ids of their own."""
    return tuple(draw(log_entries(number)) for number in range(draw(st.integers(0, most))))


@st.composite
def days_off(draw: st.DrawFn) -> DaysOff:
    """Some weekdays and some spans, one of which may end before it begins."""
    ends = st.tuples(st.sampled_from(DAYS), st.sampled_from(DAYS))
    return DaysOff(
        weekdays=tuple(draw(st.lists(st.integers(1, 7), max_size=3))),
        spans=tuple(DateSpan(first=first, last=last) for first, last in draw(st.lists(ends, max_size=2))),
    )


@st.composite
def sheets(draw: st.DrawFn) -> tuple[SheetMade, ...]:
    """At most one sheet a day."""
    steps = [
        SheetStep(id=f"{task.id}-{visit}", task=task.id, seconds=300) for task in TASKS for visit in (1, 2)
    ]
    return tuple(
        SheetMade(
            day=day,
            given_seconds=draw(st.sampled_from([300, 600, 1200])),
            plan_kind=draw(st.sampled_from(["usual", "away"])),
            steps=tuple(draw(st.lists(st.sampled_from(steps), unique=True, max_size=4))),
        )
        for day in draw(st.lists(st.sampled_from(DAYS), unique=True, max_size=15))
    )


@st.composite
def practice_facts(draw: st.DrawFn) -> PracticeFacts:
    """Everything, with or without a plan that stands ready."""
    return PracticeFacts(
        today=TODAY,
        first_day=FIRST_DAY,
        entries=draw(logs()),
        days_off=draw(days_off()),
        sheets=draw(sheets()),
        tasks=TASKS,
        plan_seconds=draw(st.sampled_from([None, 600, 1200])),
        usual_seconds=2400,
        answered=frozenset(draw(st.sets(st.sampled_from(["shorter-plan:600", "skipped:scales"])))),
    )


def days_between(first: date, last: date) -> Sequence[date]:
    """Return every day from one to another, both among them."""
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]
