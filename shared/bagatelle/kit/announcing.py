"""Asks a plugin, and says beforehand what it asks: so that it is known where one stood that never answered."""

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from msgspec import Struct

from bagatelle.accepted import shown
from bagatelle.catalogue.faults import Fault
from bagatelle.catalogue.hooks import PluginHooks
from bagatelle.contract import Instrument, Material, Texts, hookimpl
from bagatelle.kit.own_files import OwnFiles
from bagatelle.kit.watching import MATERIAL, Watching


class Step(Struct, frozen=True, tag=True, omit_defaults=True):
    """What is about to be done."""

    what: str
    """A hook, and of which exercise; or what else."""
    settings: Mapping[str, Any] | None = None

    @property
    def in_words(self) -> str:
        """The settings, where there are any."""
        settings = self.settings or {}
        return ", ".join(f"{name} {shown(value)}" for name, value in settings.items())


Tell: TypeAlias = Callable[[Step], None]
"""Is told of each step before it is taken."""


class RaisedAt:
    """Where each hook of a plugin last raised."""

    def __init__(self, own_files: OwnFiles) -> None:
        self._own_files = own_files
        self._lines: dict[str, str | None] = {}

    def note(self, what: str, error: BaseException) -> None:
        """Take down where something raised."""
        self._lines[what] = self._own_files.line_of(error)

    def placed(self, fault: Fault) -> Fault:
        """Say of a fault that tells of an error from where it came, if that is known."""
        line = self._lines.get(fault.item)
        if line is None or not fault.reason.startswith("raised "):
            return fault
        return Fault(fault.item, f"{fault.reason}, in {line}")


class AnnouncedPlugin:
    """Stands before a plugin: each hook is told of, watched, and handed on."""

    def __init__(self, plugin: object, tell: Tell, watching: Watching, raised_at: RaisedAt) -> None:
        """Register the plugin.

        :raises RefusedError: where the host would refuse to.
        """
        self._hooks = PluginHooks(plugin)
        self._tell = tell
        self._watching = watching
        self._raised_at = raised_at

    @hookimpl
    def bagatelle_contract(self) -> int:
        """Hand on."""
        version: int = self._asked("bagatelle_contract")
        return version

    @hookimpl
    def bagatelle_instruments(self) -> tuple[Instrument, ...]:
        """Hand on."""
        instruments: tuple[Instrument, ...] = self._asked("bagatelle_instruments")
        return instruments

    @hookimpl
    def bagatelle_texts(self) -> tuple[Texts, ...]:
        """Hand on."""
        texts: tuple[Texts, ...] = self._asked("bagatelle_texts")
        return texts

    @hookimpl
    def bagatelle_material(self, exercise: str, settings: Mapping[str, Any]) -> Material:
        """Hand on."""
        step = Step(f"{MATERIAL}{exercise}", settings)
        material: Material = self._asked("bagatelle_material", step, exercise=exercise, settings=settings)
        return material

    def _asked(self, hook: str, step: Step | None = None, **arguments: Any) -> Any:
        step = step or Step(hook)
        self._tell(step)
        try:
            with self._watching(step.what):
                return self._hooks.call(hook, **arguments)
        except BaseException as error:
            self._raised_at.note(step.what, error)
            raise
