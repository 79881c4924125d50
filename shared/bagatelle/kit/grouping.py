"""Faults that come with settings: those that come again with other settings are said once."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from bagatelle.accepted import shown
from bagatelle.catalogue.faults import Fault

_FAULTS_SHOWN: Final = 5


class FaultsBySettings:
    """Collects the faults of one check and one exercise."""

    def __init__(self, exercise: str, defaults: Mapping[str, Any]) -> None:
        self._exercise = exercise
        self._defaults = defaults
        self._first: dict[Fault, str] = {}
        self._times: dict[Fault, int] = {}

    def add(self, faults: Iterable[Fault], settings: Mapping[str, Any]) -> None:
        """Take down faults that came with these settings."""
        for fault in faults:
            self._first.setdefault(fault, self._in_words(settings))
            self._times[fault] = self._times.get(fault, 0) + 1

    def listed(self) -> list[Fault]:
        """Return the first of them, each with the first settings that it came with."""
        found = [
            Fault(fault.item, f"{fault.reason} ({where}{self._and_others(fault)})")
            for fault, where in self._first.items()
        ]
        left = len(found) - _FAULTS_SHOWN
        more = [Fault(self._exercise, f"{left} more of this kind")] if left > 0 else []
        return found[:_FAULTS_SHOWN] + more

    def _and_others(self, fault: Fault) -> str:
        others = self._times[fault] - 1
        return f", and with {others} other settings" if others else ""

    def _in_words(self, settings: Mapping[str, Any]) -> str:
        changed = [
            f"{name} {shown(value)}"
            for name, value in settings.items()
            if name not in self._defaults or self._defaults[name] != value
        ]
        return f"with {', '.join(changed)}" if changed else "by default"
