"""What can go wrong, by kind. No error here knows HTTP; the service gives each kind its status."""

from typing import Literal, TypeAlias

from msgspec import Struct

FailureKind: TypeAlias = Literal["raised", "wrong-answer", "out-of-time", "ended", "quarantined"]
"""How a plugin failed: it raised; its answer is wrong; it took too long; it ended the process that asked it; or it
was not asked at all, as it failed before."""


class FieldError(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One wrong field of a request."""

    pointer: str
    """JSON Pointer (RFC 6901) from the root of the request."""
    message: str
    """What was wrong."""
    accepted: str = ""
    """What would be accepted."""


class BagatelleError(Exception):
    """Every error that a caller can meet derives from this."""


class InvalidInputError(BagatelleError, ValueError):
    """The request is well formed JSON but fields of it are wrong. Holds all of them at once."""

    def __init__(self, errors: tuple[FieldError, ...]) -> None:
        self.errors = errors
        super().__init__("; ".join(f"{error.pointer or '/'}: {error.message}" for error in errors))


class MalformedJsonError(BagatelleError, ValueError):
    """The request is not JSON at all."""


class NotShortError(BagatelleError, ValueError):
    """The share that was asked for is over a half: that is no short day."""

    def __init__(self, share: float, largest_share: float) -> None:
        self.share = share
        self.largest_share = largest_share
        super().__init__(
            f"A share of {share:g} is not short. The largest share that counts as a short day is "
            f"{largest_share:g}; on a longer day play the normal routine, or as much of it as you like."
        )


class NothingFitsError(BagatelleError, ValueError):
    """No task fits the time. Says the smallest window that would do, to the second, and for which task."""

    def __init__(self, task: str, smallest_window_seconds: int) -> None:
        self.task = task
        self.smallest_window_seconds = smallest_window_seconds
        super().__init__(
            f"Nothing of this routine fits the time given. The smallest window that would do is "
            f"{smallest_window_seconds} seconds, for the task {task!r}."
        )


class NoShortDayFitsError(BagatelleError, ValueError):
    """No task fits any window that counts as short. Says which is the nearest to it, and by how much."""

    def __init__(self, task: str, pointer: str, *, needed_seconds: int, largest_seconds: int) -> None:
        self.task = task
        self.pointer = pointer
        """JSON Pointer of the task that needs least, from the root of the request."""
        self.needed_seconds = needed_seconds
        """Its set-up and its smallest piece."""
        self.largest_seconds = largest_seconds
        """What the longest window that counts as short holds of set-up and playing."""
        super().__init__(
            f"No window that counts as short for this routine holds anything of it. The task {task!r} needs "
            f"least: {needed_seconds} seconds for its set-up and its smallest piece, of {largest_seconds} at "
            f"most. A smaller piece of it would do."
        )


class NothingAllowedError(BagatelleError, ValueError):
    """Pins and the learner's limits leave no task that could be planned."""

    def __init__(self) -> None:
        super().__init__(
            "Every task of this routine is pinned never or is beyond the learner's limits. "
            "Leave at least one that may be planned."
        )


class NotSpecificError(BagatelleError, ValueError):
    """`strict` was asked for and the routine leaves questions open. Holds the findings."""

    def __init__(self, findings: tuple["object", ...]) -> None:
        self.findings = findings
        super().__init__(f"The routine leaves {len(findings)} question(s) open, and strict was asked for.")


class NotMoreTimeError(InvalidInputError):
    """A day that has a sheet grows alone: what it gives later holds each window that it gave before, or more."""

    def __init__(self, ask: int, window: int, *, least_seconds: int, given_seconds: int | None) -> None:
        self.ask = ask
        """Position of the later answer, from 0."""
        self.window = window
        self.least_seconds = least_seconds
        self.given_seconds = given_seconds
        """None where the window is gone."""
        given = "is gone" if given_seconds is None else f"has {given_seconds} seconds"
        wrong = FieldError(
            pointer=f"/asks/{ask}/windows/{window}",
            message=f"the window {given}; what stands in it already was made for {least_seconds}",
            accepted="each window at least as long as before, and new ones behind them",
        )
        super().__init__((wrong,))


class UnknownExerciseError(BagatelleError, LookupError):
    """No loaded catalogue has an exercise of that id."""

    def __init__(self, exercise: str) -> None:
        self.exercise = exercise
        super().__init__(f"No loaded catalogue has an exercise {exercise!r}.")


class PluginError(BagatelleError):
    """A plugin did something wrong. Names plugin, hook and item."""

    def __init__(self, plugin: str, hook: str, item: str, reason: str, kind: FailureKind = "raised") -> None:
        self.plugin = plugin
        self.hook = hook
        self.item = item
        self.reason = reason
        self.kind = kind
        super().__init__(f"plugin {plugin!r}, {hook}, {item}: {reason}")
