"""The guard of plugins that are asked in a thread of the service itself, where nothing can end a call."""

import logging
import time
from collections.abc import Callable
from threading import Lock
from typing import Final

from bagatelle.catalogue.guard import HookCall
from bagatelle.contract import Material
from bagatelle.model.errors import FailureKind, PluginError

from bagatelle_service.hook_reports import asked_alone, place_of
from bagatelle_service.plugin_watch import PluginWatch

logger: Final = logging.getLogger("bagatelle_service.plugins")


class HookGuard:
    """Counts each call, asks no plugin that is in quarantine, and knows which calls have not come back."""

    def __init__(self, watch: PluginWatch) -> None:
        self._watch = watch
        self._under_way: dict[object, tuple[HookCall, float]] = {}
        self._lock = Lock()

    def __call__(self, call: HookCall, ask: Callable[[], Material]) -> Material:
        """Ask, unless the plugin is in quarantine.

        :raises PluginError: where it is, or where it failed.
        """
        with self._watch.turn() as turn:
            if turn.failures_left.get(call.plugin, turn.failures_allowed) <= 0:
                raise PluginError(call.plugin, call.hook, call.exercise, "it is not asked", "quarantined")
            return self._asked(call, ask)

    def _asked(self, call: HookCall, ask: Callable[[], Material]) -> Material:
        key, began = object(), time.perf_counter()
        failure: FailureKind | None = None
        with self._lock:
            self._under_way[key] = (call, began)
        try:
            return asked_alone(call, ask)
        except PluginError as error:
            failure = error.kind
            log_failure(call.plugin, call.hook, call.exercise, place_of(error))
            raise
        finally:
            with self._lock:
                is_overdue = self._under_way.pop(key, None) is None
            if not is_overdue:
                self._watch.note(call.plugin, (time.perf_counter() - began) * 1000, failure)

    def overdue(self) -> HookCall | None:
        """Return a call that has taken longer than a plugin may, if there is one, and count it as failed."""
        now = time.perf_counter()
        with self._lock:
            late = [
                (key, call, began)
                for key, (call, began) in self._under_way.items()
                if now - began > self._watch.limits.seconds
            ]
            for key, _, _ in late:
                del self._under_way[key]
        for _, call, began in late:
            self._watch.note(call.plugin, (now - began) * 1000, "out-of-time")
            log_failure(call.plugin, call.hook, call.exercise, "out-of-time")
        return late[0][1] if late else None


def log_failure(plugin: str, hook: str, exercise: str, place: str) -> None:
    """Say in the log that a plugin failed; what it was asked with, or said, is a learner's and stays out."""
    logger.warning("plugin %r failed in %s for %s: %s", plugin, hook, exercise, place)
