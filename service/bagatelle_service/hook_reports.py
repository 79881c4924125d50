"""What a process of the engine says of the hooks that it calls, before each call and after it.

So whoever has asked it knows which plugin is to blame where no answer comes.
"""

import time
import traceback
from collections.abc import Callable, Mapping
from typing import Final

from bagatelle.catalogue.guard import HookCall
from bagatelle.contract import Material
from bagatelle.model.errors import FailureKind, PluginError
from msgspec import Struct

_NOT_ASKED: Final = "it is not asked"


class Entered(Struct, frozen=True, array_like=True, tag=True):
    """A hook is about to be called."""

    plugin: str
    hook: str
    exercise: str


class Left(Struct, frozen=True, array_like=True, tag=True):
    """It came back."""

    milliseconds: float
    failure: FailureKind | None = None
    place: str = ""
    """Of a failure: the kind of the error and its line, never its text, which may hold a learner's words."""


class HookReporter:
    """Stands between the questions of this process and the plugins: reports each call, and makes none too many."""

    def __init__(self) -> None:
        self._report: Callable[[Struct], None] = lambda _: None
        self._stopped: Mapping[str, FailureKind] = {}
        self._failures_left: dict[str, int] = {}
        self._failures_allowed = 1

    def begin(
        self,
        report: Callable[[Struct], None],
        stopped: Mapping[str, FailureKind],
        failures_left: Mapping[str, int],
        failures_allowed: int,
    ) -> None:
        """Begin a question.

        :param report: sends a report.
        :param stopped: plugins that failed when the same question was asked before, and how.
        :param failures_left: as of `PluginTurn`, as is the next.
        """
        self._report = report
        self._stopped = stopped
        self._failures_left = dict(failures_left)
        self._failures_allowed = failures_allowed

    def __call__(self, call: HookCall, ask: Callable[[], Material]) -> Material:
        """Ask, with a report before and after.

        :raises PluginError: where the plugin failed, or has failed too often to be asked.
        """
        left = self._failures_left.get(call.plugin, self._failures_allowed)
        held_back = self._stopped.get(call.plugin) or ("quarantined" if left <= 0 else None)
        if held_back is not None:
            raise PluginError(call.plugin, call.hook, call.exercise, _NOT_ASKED, held_back)
        self._report(Entered(call.plugin, call.hook, call.exercise))
        began = time.perf_counter()
        failure: FailureKind | None = None
        place = ""
        try:
            return asked_alone(call, ask)
        except PluginError as error:
            self._failures_left[call.plugin] = left - 1
            failure, place = error.kind, place_of(error)
            raise
        finally:
            # However it came back: that settings do not go together is an answer too.
            self._report(Left(_since(began), failure, place))


def asked_alone(call: HookCall, ask: Callable[[], Material]) -> Material:
    """Ask where no signal arrives, so that a KeyboardInterrupt is a plugin's own.

    :raises PluginError: in its place.
    """
    try:
        return ask()
    except KeyboardInterrupt as error:
        reason = "raised KeyboardInterrupt"
        raise PluginError(call.plugin, call.hook, call.exercise, reason) from error


def place_of(error: PluginError) -> str:
    """Name the kind of a plugin's error and the line that raised it."""
    cause = error.__cause__
    if cause is None or error.kind != "raised":
        return error.kind
    frames = traceback.extract_tb(cause.__traceback__)
    where = f" at {frames[-1].name}, line {frames[-1].lineno}" if frames else ""
    return f"{type(cause).__name__}{where}"


def _since(began: float) -> float:
    return (time.perf_counter() - began) * 1000
