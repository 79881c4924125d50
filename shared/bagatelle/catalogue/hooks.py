"""One plugin's hooks, registered and called apart from every other plugin's.

Each plugin gets a plugin manager of its own. So one that raises loses nobody else's answer, one with a
taken name or a misspelt hook is refused alone, and a refused one is gone with its manager.
"""

import difflib
import inspect
from collections.abc import Callable
from functools import cached_property
from typing import Any, Final, Protocol

import pluggy

from bagatelle.catalogue.faults import Fault, RefusedError
from bagatelle.contract import PROJECT, InstrumentHooks

HOOKS: Final = ("bagatelle_contract", "bagatelle_instruments", "bagatelle_texts", "bagatelle_material")


class Hooks(Protocol):
    """What asks a plugin."""

    def call(self, hook: str, **arguments: Any) -> Any:
        """Call one hook; None stands for no answer."""
        ...


class LateHooks:
    """The hooks of a plugin that was examined elsewhere; it is imported when it is first asked."""

    def __init__(self, load: Callable[[], object]) -> None:
        """Remember how.

        :param load: imports the plugin.
        """
        self._load = load

    @cached_property
    def _hooks(self) -> "PluginHooks":
        return PluginHooks(self._load())

    def call(self, hook: str, **arguments: Any) -> Any:
        """Call one hook; what importing the plugin raises is passed on like what the hook raises."""
        return self._hooks.call(hook, **arguments)


class PluginHooks:
    """The hooks of one registered plugin."""

    def __init__(self, plugin: object) -> None:
        """Register the plugin.

        :raises RefusedError: with every fault: a hook that is misspelt, missing, asynchronous, a wrapper, or
            given twice, or that takes an argument which its specification does not have.
        """
        self._manager = pluggy.PluginManager(PROJECT)
        self._manager.add_hookspecs(InstrumentHooks)
        try:
            self._manager.register(plugin, name="plugin")
        except pluggy.PluginValidationError as error:
            raise RefusedError(_strange_arguments(plugin) or [_as_worded(error)]) from error
        faults = [*self._unknown_hooks(), *(fault for hook in HOOKS for fault in self._hook_faults(hook))]
        if faults:
            raise RefusedError(faults)

    def call(self, hook: str, **arguments: Any) -> Any:
        """Call one hook; what the plugin raises is passed on, and None stands for no answer."""
        answers = getattr(self._manager.hook, hook)(**arguments)
        return answers[0] if answers else None

    def _unknown_hooks(self) -> list[Fault]:
        faults = []
        for caller in self._manager.get_hookcallers(self._manager.get_plugin("plugin")) or ():
            if caller.has_spec() or all(each.optionalhook for each in caller.get_hookimpls()):
                continue
            near = difflib.get_close_matches(caller.name, HOOKS, n=1)
            meant = f" (was {near[0]} meant?)" if near else ""
            faults.append(Fault(caller.name, f"there is no hook of this name{meant}"))
        return faults

    def _hook_faults(self, hook: str) -> list[Fault]:
        implementations = getattr(self._manager.hook, hook).get_hookimpls()
        if len(implementations) != 1:
            return [Fault(hook, "is not implemented (a function of that name, marked with hookimpl)")]
        implementation = implementations[0]
        if implementation.wrapper or implementation.hookwrapper:
            return [Fault(hook, "is a wrapper, and a plugin answers for itself and wraps nobody")]
        function = implementation.function
        if inspect.iscoroutinefunction(function) or inspect.isasyncgenfunction(function):
            return [Fault(hook, "is asynchronous, and all hooks are plain functions")]
        if inspect.isgeneratorfunction(function):
            return [Fault(hook, "is a generator, and it must return its whole answer")]
        return []


def _strange_arguments(plugin: object) -> list[Fault]:
    """Say in plain words which hooks take an argument that their specification does not have."""
    faults = []
    for hook in HOOKS:
        function = getattr(plugin, hook, None)
        if not inspect.isroutine(function):
            continue
        accepted = _arguments(getattr(InstrumentHooks, hook))
        faults += [
            Fault(hook, f"takes {name!r} (accepted: {', '.join(accepted) or 'no arguments'})")
            for name in _arguments(function)
            if name not in accepted
        ]
    return faults


def _arguments(function: Callable[..., Any]) -> list[str]:
    return [
        name
        for name, argument in inspect.signature(function).parameters.items()
        if name != "self" and argument.default is argument.empty
    ]


def _as_worded(error: pluggy.PluginValidationError) -> Fault:
    return Fault("registration", " ".join(str(error).split()))
