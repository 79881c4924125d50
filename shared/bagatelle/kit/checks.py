"""The checks by name, in the order in which they are reported, and what came of them."""

from collections.abc import Mapping
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.faults import Fault

CHECKS: Final[Mapping[str, str]] = {
    "loading": "the host takes the plugin: import, hooks, contract version, types and tags, schemas, texts",
    "imports": "of Bagatelle, its files import bagatelle.contract and bagatelle.toml_catalogue alone",
    "import-time": "importing it takes less than 50 ms",
    "purity": "no clock, network, random numbers, threads, other programs or writing, at import and in hooks",
    "repeatability": "the same answers twice, in one process and in two",
    "ids": "no id is another plugin's, and none that was there before is gone without a successor",
    "schemas": "every setting has bounds, and values to try it with",
    "settings": "all legal settings that were tried give material, or are refused by `raise ValueError`",
    "defaults": "the defaults leave nothing open",
    "lengths": "every unit lasts what its notes and tempo say, exactly",
    "strain": "high strain has a cap and a caution, and they go together",
    "sources": "every fact says where it comes from",
    "wording": "everything is said in every locale, for all settings that were tried",
}
"""Each check with what it holds a plugin to."""


class Outcome(Struct, kw_only=True, tag=True):
    """What one process saw of a plugin."""

    faults: dict[str, list[Fault]] = {}
    """By check."""
    loaded: bool = False
    instruments: list[str] = []
    exercises: list[str] = []
    locales: list[str] = []
    settings_tried: int = 0
    places: dict[str, str] = {}
    """By id of an instrument or an exercise, file and line and the id, where it is known."""
    import_seconds: float | None = None
    """None where it came to none."""
    answers: dict[str, str] = {}
    """Of each hook, and of each exercise's material for all settings tried: the SHA-256 of what came."""

    def add(self, check: str, faults: list[Fault] | tuple[Fault, ...]) -> None:
        """Put faults to a check, each once."""
        known = self.faults.setdefault(check, [])
        known.extend(fault for fault in dict.fromkeys(faults) if fault not in known)


class CheckReport(Struct, frozen=True, kw_only=True):
    """What was found of one plugin."""

    name: str
    faults: Mapping[str, tuple[Fault, ...]]
    """By check, in the order of `CHECKS`; empty where all is well."""
    not_checked: tuple[str, ...]
    """Checks for which the plugin must first be loaded."""
    instruments: tuple[str, ...]
    exercises: tuple[str, ...]
    locales: tuple[str, ...]
    settings_tried: int

    @property
    def is_right(self) -> bool:
        """Whether every check was made and found nothing."""
        return not self.not_checked and not any(self.faults.values())
