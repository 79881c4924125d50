"""What is known of a plugin: a report for everybody, and for a loaded one its data and its hooks."""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from bagatelle.catalogue.hooks import Hooks
from bagatelle.model.exercise import Instrument, Material, Texts
from bagatelle.wrong_fields import CheckedSchema


class PluginReport(Struct, frozen=True, kw_only=True):
    """A plugin that was found or allowed by name, and what became of it."""

    name: str
    """Of its entry point."""
    distribution: str | None
    version: str | None
    """Of its distribution."""
    contract: int | None
    """The contract version that it was written for, where it came so far as to say."""
    hash: str | None
    """SHA-256 of its instruments and texts as canonical JSON, where they could be read."""
    status: Literal["loaded", "left out", "not installed"]
    reason: str | None
    """Why it was left out, with every fault."""
    instruments: tuple[str, ...]
    """Ids of the instruments that it brings, or would have brought."""


class LoadedPlugin(Struct, frozen=True, kw_only=True):
    """A plugin whose data was found right."""

    name: str
    version: str
    hash: str
    hooks: Hooks
    instruments: tuple[Instrument, ...]
    texts: tuple[Texts, ...]
    settings: Mapping[str, CheckedSchema]
    """By exercise id, its settings schema, compiled."""
    materials: Mapping[str, Material]
    """By exercise id, what its defaults make of it, as it was answered at load."""


class ExaminedPlugin(Struct, frozen=True, kw_only=True):
    """What examining a plugin comes to, as another process can be told it: all but its code."""

    report: PluginReport
    instruments: tuple[Instrument, ...]
    texts: tuple[Texts, ...]
    materials: Mapping[str, Material]
    """By exercise id, what its defaults come to."""
