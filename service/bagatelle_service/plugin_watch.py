"""How plugins do at request time: what is counted of each, and which are not asked for a while.

One watch is kept by each process that serves; its processes of the engine report to it. Several such processes
(`--workers`) do not share theirs: each finds out for itself.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import Annotated, Literal

from bagatelle.model.errors import FailureKind
from msgspec import Meta, Struct

STOPPING: tuple[FailureKind, ...] = ("out-of-time", "ended")
"""A single failure of these kinds is enough: each costs a process, and the time until it is ended."""


class PluginLimits(Struct, frozen=True, kw_only=True):
    """The numbers that decide; the settings of the service give them."""

    seconds: float = 3.0
    """How long all calls of one plugin may take while one question is answered."""
    failures: int = 3
    """So many in a row, and the plugin is in quarantine."""
    quarantine_seconds: float = 300.0
    slow_milliseconds: int = 100
    """A call that takes longer is counted as slow."""


class PluginAtWork(Struct, frozen=True, kw_only=True):
    """How a loaded plugin has done since this process of the service began; others count for themselves."""

    status: Annotated[
        Literal["asked", "quarantined"],
        Meta(description="quarantined: it is not asked, and tasks that need its answer are left out."),
    ] = "asked"
    since: Annotated[datetime | None, Meta(description="Since when it is in quarantine.")] = None
    until: Annotated[
        datetime | None, Meta(description="From then on one call tries whether it works again.")
    ] = None
    calls: Annotated[int, Meta(description="How often it was asked; answers that are kept spare a call.")] = 0
    failures: Annotated[int, Meta(description="How many of these failed.")] = 0
    failures_in_a_row: Annotated[int, Meta(description="How many failed since one last went well.")] = 0
    last_failure: FailureKind | None = None
    slow_calls: Annotated[int, Meta(description="How many took longer than `slow_milliseconds`.")] = 0
    slow_milliseconds: int = 100


class PluginTurn(Struct, frozen=True, kw_only=True):
    """What one question may ask of plugins."""

    failures_left: Mapping[str, int]
    """How often a plugin may still fail before it is not asked any more; 0: it is not asked at all."""
    failures_allowed: int
    """The same of all others."""


class _Record:
    """What is known of one plugin."""

    def __init__(self) -> None:
        self.calls = 0
        self.failures = 0
        self.failures_in_a_row = 0
        self.slow_calls = 0
        self.last_failure: FailureKind | None = None
        self.since: datetime | None = None
        self.until: datetime | None = None
        self.is_on_trial = False


class PluginWatch:
    """Counts, and decides who is asked. Safe to use from several threads.

    :param now: the clock.
    """

    def __init__(
        self,
        limits: PluginLimits | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self.limits = limits or PluginLimits()
        self._now = now
        self._records: dict[str, _Record] = {}
        self._lock = Lock()

    @contextmanager
    def turn(self) -> Iterator[PluginTurn]:
        """Begin a question. Where the time of a quarantine is over, this question alone tries the plugin again."""
        with self._lock:
            failures_left = {
                name: self._failures_left(record)
                for name, record in self._records.items()
                if record.failures_in_a_row or record.until is not None
            }
            on_trial = [name for name, left in failures_left.items() if left and self._tries(name)]
        try:
            yield PluginTurn(failures_left=failures_left, failures_allowed=self.limits.failures)
        finally:
            with self._lock:
                for name in on_trial:
                    self._records[name].is_on_trial = False

    def note(self, plugin: str, milliseconds: float, failure: FailureKind | None) -> None:
        """Count a call; after a failure too many the plugin is in quarantine, after a good answer out of it."""
        with self._lock:
            record = self._records.setdefault(plugin, _Record())
            record.calls += 1
            record.is_on_trial = False
            record.slow_calls += milliseconds > self.limits.slow_milliseconds
            if failure is None:
                record.failures_in_a_row, record.since, record.until = 0, None, None
                return
            record.failures += 1
            record.failures_in_a_row += 1
            record.last_failure = failure
            is_again = record.until is not None
            if failure in STOPPING or is_again or record.failures_in_a_row >= self.limits.failures:
                now = self._now()
                record.since = record.since or now
                record.until = now + timedelta(seconds=self.limits.quarantine_seconds)

    def at_work(self, plugin: str) -> PluginAtWork:
        """Say how a plugin has done."""
        slow_milliseconds = self.limits.slow_milliseconds
        with self._lock:
            record = self._records.get(plugin)
            if record is None:
                return PluginAtWork(slow_milliseconds=slow_milliseconds)
            return PluginAtWork(
                status="asked" if record.until is None else "quarantined",
                since=record.since,
                until=record.until,
                calls=record.calls,
                failures=record.failures,
                failures_in_a_row=record.failures_in_a_row,
                last_failure=record.last_failure,
                slow_calls=record.slow_calls,
                slow_milliseconds=slow_milliseconds,
            )

    def _failures_left(self, record: _Record) -> int:
        if record.until is None:
            return max(self.limits.failures - record.failures_in_a_row, 1)
        is_due = self._now() >= record.until and not record.is_on_trial
        return 1 if is_due else 0

    def _tries(self, name: str) -> bool:
        """Whether this is the trial of a plugin in quarantine; it is then the only one."""
        record = self._records[name]
        record.is_on_trial = record.until is not None
        return record.is_on_trial
