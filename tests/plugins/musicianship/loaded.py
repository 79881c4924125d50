"""Musicianship as the host loads it, by the entry point in its pyproject.toml, and its files as they stand."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Material

DISTRIBUTION = Path(__file__).parents[3] / "plugins" / "musicianship"
FILES = sorted((DISTRIBUTION / "bagatelle_musicianship").glob("*.toml"))
Row = Mapping[str, Any]


@cache
def instruments() -> Instruments:
    project = tomllib.loads((DISTRIBUTION / "pyproject.toml").read_text())["project"]
    points = project["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def parts() -> tuple[Row, ...]:
    """The files as data, read without the host."""
    return tuple(tomllib.loads(path.read_text(encoding="utf-8")) for path in FILES)


@cache
def choices(name: str) -> tuple[Row, ...]:
    """One list of choices, as it stands in its file."""
    (found,) = [part["choices"][name] for part in parts() if name in part.get("choices", {})]
    return tuple(found)


def row(list_name: str, name: str) -> Row:
    """One value of a list of choices."""
    (found,) = [each for each in choices(list_name) if each["name"] == name]
    return found


def names(list_name: str) -> list[str]:
    return [each["name"] for each in choices(list_name)]


@cache
def entries() -> Mapping[str, Row]:
    """The exercises that the files hold themselves, by id, as data."""
    return {f"musicianship.{entry['name']}": entry for part in parts() for entry in part.get("exercise", [])}


def material(exercise: str, **settings: Any) -> Material:
    """The material of an exercise with these settings and its defaults for the others."""
    assert instruments().settings_errors(exercise, settings) == ()
    return instruments().material(exercise, instruments().complete_settings(exercise, settings))
