"""Continuity: a short day is a kept day, full weight; a day off is no gap; nothing asks how long a day was."""

from collections.abc import Sequence
from datetime import date

from bagatelle.model.progress import (
    AreaProgress,
    Continuity,
    DateSpan,
    DaysOff,
    LogEntry,
    PracticeFacts,
    TaskProgress,
)
from bagatelle.progress.entries import was_played
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.progress_strategies import DAYS, FIRST_DAY, TODAY, days_between, made_of, practice_facts

GAPS = ("days_open", "longest_gap_days", "current_gap_days")


@given(practice_facts(), st.sets(st.sampled_from(DAYS)), st.integers(1, 60))
def test_a_day_that_was_short_or_shorter_is_kept_as_fully(
    facts: PracticeFacts, days: set[date], seconds: int
) -> None:
    shorter = tuple(
        replace(entry, kind="short", seconds=min(seconds, entry.seconds))
        if entry.day in days and entry.seconds > 0
        else entry
        for entry in facts.entries
    )
    before = made_of(facts).continuity
    after = made_of(replace(facts, entries=shorter)).continuity
    assert apart_from_kinds(after) == apart_from_kinds(before)
    assert after.usual_days + after.short_days + after.free_days == before.days_kept


@given(practice_facts(), st.sampled_from(DAYS), st.sampled_from(DAYS))
def test_a_day_off_more_makes_no_gap_longer(facts: PracticeFacts, first: date, last: date) -> None:
    more = DaysOff(
        weekdays=facts.days_off.weekdays, spans=(*facts.days_off.spans, DateSpan(first=first, last=last))
    )
    before, after = made_of(facts), made_of(replace(facts, days_off=more))
    assert after.continuity.days_kept == before.continuity.days_kept
    for name in GAPS:
        assert getattr(after.continuity, name) <= getattr(before.continuity, name)
    assert no_longer([gaps_of(each) for each in before.areas], [gaps_of(each) for each in after.areas])
    assert no_longer([gaps_of(each) for each in before.tasks], [gaps_of(each) for each in after.tasks])


@given(practice_facts(), st.sampled_from(days_between(FIRST_DAY, TODAY)))
def test_it_is_what_a_count_day_by_day_gives(facts: PracticeFacts, last_day: date) -> None:
    """Whether the stretch ends today, which is not over, or before."""
    kept = {entry.day for entry in facts.entries if was_played(entry)}
    runs, days_kept, days_off = [0], 0, 0
    for day in days_between(FIRST_DAY, last_day):
        if day in kept:
            days_kept += 1
            runs.append(0)
        elif is_off(day, facts.days_off):
            days_off += 1
        elif day < TODAY:
            runs[-1] += 1
    continuity = made_of(replace(facts, last_day=last_day)).continuity
    assert continuity.days_kept == days_kept
    assert continuity.days_off == days_off
    assert continuity.days_open == sum(runs)
    assert continuity.longest_gap_days == max(runs)
    assert continuity.current_gap_days == runs[-1]


@given(practice_facts())
def test_gaps_of_a_task_are_what_a_count_day_by_day_gives(facts: PracticeFacts) -> None:
    for task, progress in zip(facts.tasks, made_of(facts).tasks, strict=True):
        came = {entry.day for entry in facts.entries if entry.task == task.id and was_played(entry)}
        came &= set(days_between(FIRST_DAY, TODAY))
        runs = [0]
        for day in days_between(min([task.since or FIRST_DAY, *came]), TODAY):
            if day in came:
                runs.append(0)
            elif day < TODAY and not is_off(day, facts.days_off):
                runs[-1] += 1
        assert (progress.longest_gap_days, progress.current_gap_days) == (max(runs), runs[-1])
        assert progress.days == len(came)
        assert progress.last_day == max(came, default=None)


@given(practice_facts(), st.sampled_from(DAYS))
def test_one_more_day_played_never_lessens_it(facts: PracticeFacts, day: date) -> None:
    more = LogEntry(id="more", day=day, kind="short", seconds=1)
    before = made_of(facts).continuity
    after = made_of(replace(facts, entries=(*facts.entries, more))).continuity
    assert after.days_kept >= before.days_kept
    for name in GAPS:
        assert getattr(after, name) <= getattr(before, name)


def is_off(day: date, days_off: DaysOff) -> bool:
    """Say whether a day is off, from the plan itself."""
    return day.isoweekday() in days_off.weekdays or any(
        span.first <= day <= span.last for span in days_off.spans
    )


def apart_from_kinds(continuity: Continuity) -> Continuity:
    """Return all but the split of the days kept."""
    return replace(continuity, usual_days=0, short_days=0, free_days=0)


def gaps_of(progress: AreaProgress | TaskProgress) -> tuple[int, int]:
    """Return both gaps of an area or a task."""
    return progress.longest_gap_days, progress.current_gap_days


def no_longer(before: Sequence[tuple[int, int]], after: Sequence[tuple[int, int]]) -> bool:
    """Say whether no gap of the second is longer than that of the first."""
    return all(
        later[0] <= earlier[0] and later[1] <= earlier[1]
        for earlier, later in zip(before, after, strict=True)
    )
