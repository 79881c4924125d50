"""What the plugins said of the exercises that a plan is made from, kept as it was.

A snapshot is canonical JSON and found by its hash, so that many plans share one. It holds nothing of a learner:
what settings made of an exercise stands in the plan.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Literal

import msgspec
from bagatelle import Instruments
from bagatelle.model.exercise import Exercise, Instrument, Texts
from msgspec import Struct
from msgspec.structs import replace

from bagatelle_service.school.routine_document import RoutineContent


class PluginSnapshot(Struct, frozen=True, kw_only=True):
    """What one plugin had a part in."""

    name: str
    version: str
    hash: str
    """SHA-256 of all that the plugin brought, as it was loaded."""
    instruments: tuple[Instrument, ...]
    """With the exercises used alone."""
    texts: tuple[Texts, ...]
    """Without those of other exercises."""


class Catalogue(Struct, frozen=True, kw_only=True):
    """What a plan was made from, of all plugins."""

    version: Literal[1] = 1
    plugins: tuple[PluginSnapshot, ...]


class Snapshot(Struct, frozen=True, kw_only=True):
    """A catalogue as it is stored."""

    hash: str
    """SHA-256 of the body, in hexadecimal digits."""
    body: bytes
    """The catalogue as canonical JSON: no spaces, names in their order."""

    def catalogue(self) -> Catalogue:
        """Read it; no plugin is needed."""
        return msgspec.json.decode(self.body, type=Catalogue)


def snapshot_of(content: RoutineContent, instruments: Instruments) -> Snapshot:
    """Take what the loaded plugins say of a routine's exercises, its instrument's stand-in among them.

    :raises UnknownExerciseError: where no loaded catalogue has one of them.
    """
    used = {
        task.exercise: instruments.exercise(task.exercise)
        for block in content.routine.blocks
        for task in block.tasks
        if task.exercise is not None
    }
    named = instruments.instrument(content.instrument) if content.instrument is not None else None
    stand_in = instruments.stand_in(named.id) if named is not None else None
    if stand_in is not None:
        used[stand_in.id] = stand_in
    by_instrument: dict[str, list[Exercise]] = {} if named is None else {named.id: []}
    for identifier in sorted(used):
        by_instrument.setdefault(identifier.partition(".")[0], []).append(used[identifier])
    body = msgspec.json.encode(_catalogue(by_instrument, instruments), order="sorted")
    return Snapshot(hash=hashlib.sha256(body).hexdigest(), body=body)


def _catalogue(by_instrument: Mapping[str, list[Exercise]], instruments: Instruments) -> Catalogue:
    by_plugin: dict[str, list[Instrument]] = {}
    versions = {}
    for identifier in sorted(by_instrument):
        whole = instruments.instrument(identifier)
        if whole is None:
            raise LookupError(f"exercises of {identifier!r} were found, and no such instrument")
        version = instruments.plugin_of(whole.exercises[0].id)
        versions[version.name] = version
        part = replace(whole, exercises=tuple(by_instrument[identifier]))
        by_plugin.setdefault(version.name, []).append(part)
    return Catalogue(
        plugins=tuple(
            PluginSnapshot(
                name=name,
                version=versions[name].version,
                hash=versions[name].hash,
                instruments=tuple(by_plugin[name]),
                texts=_texts(name, by_plugin[name], instruments),
            )
            for name in sorted(by_plugin)
        )
    )


def _texts(plugin: str, parts: Iterable[Instrument], instruments: Instruments) -> tuple[Texts, ...]:
    used = {exercise.id for part in parts for exercise in part.exercises}
    others = {exercise.id for exercise in instruments.exercises} - used
    return tuple(
        Texts(
            locale=texts.locale,
            messages={
                name: template
                for name, template in texts.messages.items()
                if ".".join(name.split(".")[:2]) not in others
            },
        )
        for texts in instruments.texts_of(plugin)
    )
