"""How plugins are counted, and when one is asked again, on a clock of the test's own."""

from datetime import UTC, datetime, timedelta

import pytest
from bagatelle.model.errors import FailureKind
from bagatelle_service.plugin_watch import PluginAtWork, PluginLimits, PluginWatch
from hypothesis import given
from hypothesis import strategies as st

START = datetime(2027, 3, 1, 16, 20, tzinfo=UTC)
LIMITS = PluginLimits(failures=3, quarantine_seconds=60, slow_milliseconds=100)


class Clock:
    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def pass_seconds(self, seconds: float) -> None:
        self.now += timedelta(seconds=seconds)


def watch_on(clock: Clock) -> PluginWatch:
    return PluginWatch(LIMITS, clock)


def left(watch: PluginWatch, plugin: str = "saw") -> int:
    with watch.turn() as turn:
        return turn.failures_left.get(plugin, turn.failures_allowed)


def fail(watch: PluginWatch, times: int = 1, kind: FailureKind = "raised") -> None:
    for _ in range(times):
        watch.note("saw", 1, kind)


def test_one_that_nobody_has_asked() -> None:
    watch = watch_on(Clock())
    assert watch.at_work("saw") == PluginAtWork(slow_milliseconds=100)
    assert left(watch) == 3


def test_so_many_failures_in_a_row_and_it_is_in_quarantine() -> None:
    watch = watch_on(Clock())
    for remaining in (2, 1, 0):
        fail(watch)
        assert left(watch) == remaining
    at_work = watch.at_work("saw")
    assert (at_work.status, at_work.since) == ("quarantined", START)
    assert at_work.until == START + timedelta(seconds=60)
    assert (at_work.calls, at_work.failures, at_work.failures_in_a_row) == (3, 3, 3)
    assert left(watch, "piano") == 3


def test_a_good_answer_between_begins_the_row_anew() -> None:
    watch = watch_on(Clock())
    fail(watch, 2)
    watch.note("saw", 1, None)
    fail(watch, 2)
    assert watch.at_work("saw").status == "asked"
    assert watch.at_work("saw").failures == 4


@pytest.mark.parametrize("kind", ["out-of-time", "ended"])
def test_one_that_does_not_come_back_is_in_quarantine_at_once(kind: FailureKind) -> None:
    watch = watch_on(Clock())
    fail(watch, kind=kind)
    assert left(watch) == 0
    assert watch.at_work("saw").last_failure == kind


def test_after_its_time_one_question_alone_tries_again() -> None:
    clock = Clock()
    watch = watch_on(clock)
    fail(watch, 3)
    clock.pass_seconds(59.9)
    assert left(watch) == 0
    clock.pass_seconds(0.1)
    with watch.turn() as trying:
        assert trying.failures_left == {"saw": 1}
        assert left(watch) == 0, "another question meanwhile"
    assert left(watch) == 1, "the first did not ask it after all"


def test_a_trial_that_fails_is_a_quarantine_more() -> None:
    clock = Clock()
    watch = watch_on(clock)
    fail(watch, 3)
    clock.pass_seconds(70)
    with watch.turn():
        fail(watch)
    assert left(watch) == 0
    at_work = watch.at_work("saw")
    assert (at_work.since, at_work.until) == (START, START + timedelta(seconds=130))
    clock.pass_seconds(60)
    assert left(watch) == 1


def test_a_trial_that_goes_well_is_the_end_of_it() -> None:
    clock = Clock()
    watch = watch_on(clock)
    fail(watch, 3)
    clock.pass_seconds(60)
    with watch.turn():
        watch.note("saw", 1, None)
    at_work = watch.at_work("saw")
    assert (at_work.status, at_work.since, at_work.until) == ("asked", None, None)
    assert (at_work.failures, at_work.failures_in_a_row, at_work.last_failure) == (3, 0, "raised")
    assert left(watch) == 3


def test_slow_calls_are_counted_good_or_not() -> None:
    watch = watch_on(Clock())
    for milliseconds in (1, 100, 100.1, 5000):
        watch.note("saw", milliseconds, None)
    watch.note("saw", 200, "raised")
    assert watch.at_work("saw").slow_calls == 3


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 90)), max_size=30))
def test_it_is_asked_again_at_most_once_in_the_time_of_a_quarantine(steps: list[tuple[bool, int]]) -> None:
    """Whatever happens when: after three failures on end, two failing calls are never nearer than that time."""
    clock = Clock()
    watch = watch_on(clock)
    failed_at: list[datetime] = []
    in_a_row = 0
    for goes_well, seconds in steps:
        clock.pass_seconds(seconds)
        if left(watch) == 0:
            continue
        if in_a_row >= LIMITS.failures:
            assert (clock.now - failed_at[-1]).total_seconds() >= LIMITS.quarantine_seconds
        watch.note("saw", 1, None if goes_well else "raised")
        in_a_row = 0 if goes_well else in_a_row + 1
        if not goes_well:
            failed_at.append(clock.now)
