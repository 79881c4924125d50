"""The piano as the host loads it, by the entry point that its pyproject.toml states."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Material, Message

DISTRIBUTION = Path(__file__).parents[3] / "plugins" / "piano"
PYPROJECT = DISTRIBUTION / "pyproject.toml"


@cache
def instruments() -> Instruments:
    points = tomllib.loads(PYPROJECT.read_text())["project"]["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def files() -> tuple[Mapping[str, Any], ...]:
    """The data files, as they are written."""
    paths = sorted((DISTRIBUTION / "bagatelle_piano").glob("*.toml"))
    return tuple(tomllib.loads(path.read_text("utf-8")) for path in paths)


def choices(name: str) -> list[Mapping[str, Any]]:
    """A list of choices, each value a mapping of its columns."""
    (found,) = (each["choices"][name] for each in files() if name in each.get("choices", {}))
    return list(found)


@cache
def entries() -> Mapping[str, Mapping[str, Any]]:
    """The exercises that stand in the data files, by id."""
    return {f"piano.{entry['name']}": entry for each in files() for entry in each.get("exercise", ())}


@cache
def shared() -> frozenset[str]:
    """The ids of those that are taken from what instruments share."""
    return frozenset(f"piano.{name}" for each in files() for name in each.get("common", {}).get("take", ()))


@cache
def made_by_code() -> tuple[str, ...]:
    """The ids of the others."""
    every = (exercise.id for exercise in instruments().exercises)
    return tuple(each for each in every if each not in entries() and each not in shared())


def material(exercise: str, **settings: Any) -> Material:
    """The material of an exercise with these settings and its defaults for the others."""
    complete = instruments().complete_settings(exercise, settings)
    assert instruments().settings_errors(exercise, settings) == ()
    return instruments().material(exercise, complete)


def said(exercise: str, part: str, made: Material, dose: int, locale: str = "en") -> str:
    """A text of an exercise for a dose of the first so many units."""
    parameters = {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:dose]),
        "unit_count": dose,
        "unit_count_in_words": Message(f"engine.number.{dose}") if dose <= 12 else str(dose),
        "seconds": 60 * dose,
        "minutes": dose,
    }
    return instruments().wording.render(Message(f"{exercise}.{part}", parameters), locale)


def details(made: Material, locale: str = "en") -> dict[str, str]:
    """What is said of each unit alone, by unit id."""
    return {unit.id: instruments().wording.render(unit.detail, locale) for unit in made.units if unit.detail}
