"""Who stands between a request and a plugin: a host with a clock puts a guard of its own there."""

from collections.abc import Callable
from typing import Protocol

from msgspec import Struct

from bagatelle.model.exercise import Material


class HookCall(Struct, frozen=True, kw_only=True):
    """A call of a hook at request time."""

    plugin: str
    hook: str
    exercise: str


class Guard(Protocol):
    """Is asked in place of a plugin, for each call at request time that no kept answer spares."""

    def __call__(self, call: HookCall, ask: Callable[[], Material]) -> Material:
        """Ask the plugin, or do not.

        :param ask: asks the plugin and examines its answer. Raises `PluginError` where that is the plugin's
            fault; anything else it raises is for whoever asked the guard.
        :raises PluginError: where the plugin is not asked, or failed.
        """
        ...


def unguarded(call: HookCall, ask: Callable[[], Material]) -> Material:
    """Ask the plugin, whatever was before."""
    del call
    return ask()
