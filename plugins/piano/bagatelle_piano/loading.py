"""Reads the plugin's own data files: catalogue and texts.

A catalogue file lists exercises as `bagatelle.contract.Exercise` has them, but for the settings: these are
given by name, each as the name of a schema in `catalogue/settings.json` (or as such a name under `use` with
what is different here). The defaults are the schemas' own.
"""

from collections.abc import Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any, Final

import msgspec
from bagatelle.contract import Exercise, Instrument, OwnTaskProposal, Texts

_EXERCISE_FILES: Final = ("scales.json", "chords.json", "fingers.json", "music.json")
_LOCALES: Final = ("en", "en-US")
_A0: Final = 21
_C8: Final = 108


def load_instrument() -> Instrument:
    """Read the piano with the exercises that code makes, ordered by id."""
    folder = _folder("catalogue")
    shared: dict[str, Any] = msgspec.json.decode(folder.joinpath("settings.json").read_bytes())
    entries = [
        entry for name in _EXERCISE_FILES for entry in msgspec.json.decode(folder.joinpath(name).read_bytes())
    ]
    exercises = sorted((_exercise(entry, shared) for entry in entries), key=lambda exercise: exercise.id)
    proposals = msgspec.json.decode(
        folder.joinpath("proposals.json").read_bytes(), type=tuple[OwnTaskProposal, ...]
    )
    return Instrument(
        id="piano",
        family="keyboard",
        lowest_pitch=_A0,
        highest_pitch=_C8,
        exercises=tuple(exercises),
        proposals=proposals,
    )


def load_texts() -> tuple[Texts, ...]:
    """Read the texts of every locale."""
    folder = _folder("texts")
    return tuple(
        Texts(locale=locale, messages=msgspec.json.decode(folder.joinpath(f"{locale}.json").read_bytes()))
        for locale in _LOCALES
    )


def _folder(name: str) -> Traversable:
    return files("bagatelle_piano").joinpath(name)


def _exercise(entry: Mapping[str, Any], shared: Mapping[str, Any]) -> Exercise:
    properties = {name: _schema(given, shared) for name, given in entry["settings"].items()}
    given = {name: value for name, value in entry.items() if name != "settings"}
    return msgspec.convert(
        {
            **given,
            "settings_schema": {
                "$schema": "https://json-schema.org/draft/2020-12/schema",
                "type": "object",
                "additionalProperties": False,
                "properties": properties,
            },
            "defaults": {name: schema["default"] for name, schema in properties.items()},
        },
        Exercise,
    )


def _schema(given: str | Mapping[str, Any], shared: Mapping[str, Any]) -> dict[str, Any]:
    if isinstance(given, str):
        return dict(shared[given])
    changed = {name: value for name, value in given.items() if name != "use"}
    return {**shared[given["use"]], **changed} if "use" in given else changed
