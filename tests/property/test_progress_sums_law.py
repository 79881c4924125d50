"""Sums of progress: the parts make the whole, and how time was cut into entries does not matter."""

from bagatelle.model.progress import LogEntry, PracticeFacts
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.progress_strategies import FIRST_DAY, TODAY, made_of, practice_facts


@given(practice_facts())
def test_the_parts_of_each_week_and_all_weeks_make_the_whole(facts: PracticeFacts) -> None:
    progress = made_of(facts)
    for week in progress.weeks:
        parts = sum(area.seconds for area in week.areas) + week.free_seconds + week.no_area_seconds
        assert parts == week.seconds
    inside = [entry for entry in facts.entries if FIRST_DAY <= entry.day <= TODAY]
    assert sum(week.seconds for week in progress.weeks) == progress.seconds
    assert progress.seconds == sum(entry.seconds for entry in inside)
    for area in progress.areas:
        weekly = [each.seconds for week in progress.weeks for each in week.areas if each.area == area.area]
        assert sum(weekly) == area.seconds
    for task in progress.tasks:
        assert task.seconds == sum(entry.seconds for entry in inside if entry.task == task.task)


@given(practice_facts(), st.integers(0, 1800))
def test_an_entry_in_two_halves_is_the_same(facts: PracticeFacts, seconds: int) -> None:
    halves = tuple(half for entry in facts.entries for half in split(entry, seconds))
    assert made_of(replace(facts, entries=halves)) == made_of(facts)


@given(practice_facts())
def test_units_that_a_task_has_lost_keep_their_history(facts: PracticeFacts) -> None:
    without = tuple(replace(task, units=()) for task in facts.tasks)
    for before, after in zip(made_of(facts).tasks, made_of(replace(facts, tasks=without)).tasks, strict=True):
        done = [unit for unit in (*before.units, *before.former_units) if unit.days]
        assert after.former_units == tuple(sorted(done, key=lambda unit: unit.unit))
        assert before.units_covered == sum(unit.days > 0 for unit in before.units)
        assert after.units_covered == 0


@given(practice_facts())
def test_of_plans_made_some_are_begun_and_of_these_some_finished(facts: PracticeFacts) -> None:
    plans = made_of(facts).plans
    assert all(kind.made >= kind.begun >= kind.finished for kind in plans.kinds)
    assert sum(kind.made for kind in plans.kinds) == plans.made
    assert sum(kind.begun for kind in plans.kinds) == plans.begun
    assert sum(kind.finished for kind in plans.kinds) == plans.finished


def split(entry: LogEntry, seconds: int) -> tuple[LogEntry, ...]:
    """Return two entries with one's time between them, or the one where there is nothing to part."""
    if not 0 < seconds < entry.seconds:
        return (entry,)
    return (
        replace(entry, seconds=seconds),
        replace(entry, id=f"{entry.id}-rest", seconds=entry.seconds - seconds),
    )
