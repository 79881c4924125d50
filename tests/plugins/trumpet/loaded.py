"""The trumpet as the host loads it, by the entry point of its pyproject.toml, and its files as they stand."""

import tomllib
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Exercise, Material, Message, Unit

PROJECT = Path(__file__).parents[3] / "plugins" / "trumpet"
FILES = tuple(sorted((PROJECT / "bagatelle_trumpet").glob("*.toml")))


@cache
def instruments() -> Instruments:
    points = tomllib.loads((PROJECT / "pyproject.toml").read_text())["project"]["entry-points"]
    return load_instruments(
        entry_points=[
            EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points[ENTRY_POINT_GROUP].items()
        ]
    )


@cache
def documents() -> tuple[dict[str, Any], ...]:
    return tuple(tomllib.loads(path.read_text(encoding="utf-8")) for path in FILES)


@cache
def choices(name: str) -> dict[str, dict[str, Any]]:
    """A list of choices by the names of its values."""
    (found,) = [each["choices"][name] for each in documents() if name in each.get("choices", {})]
    return {value["name"]: value for value in found}


@cache
def entries() -> dict[str, dict[str, Any]]:
    """The exercises as their files have them, by name."""
    return {entry["name"]: entry for each in documents() for entry in each.get("exercise", ())}


def exercise(name: str) -> Exercise:
    return instruments().exercise(f"trumpet.{name}")


def own_exercises() -> tuple[Exercise, ...]:
    """Those that stand in the trumpet's own files."""
    return tuple(exercise(name) for name in entries())


def material(name: str, **settings: Any) -> Material:
    """The material of an exercise with these settings and its defaults for the others."""
    identifier = f"trumpet.{name}"
    complete = instruments().complete_settings(identifier, settings)
    assert instruments().settings_errors(identifier, settings) == ()
    return instruments().material(identifier, complete)


def units(name: str, **settings: Any) -> dict[str, Unit]:
    return {unit.id: unit for unit in material(name, **settings).units}


def detail(unit: Unit, locale: str = "en") -> str:
    assert unit.detail is not None
    return instruments().wording.render(unit.detail, locale)


def said(name: str, part: str, made: Material, dose: int, locale: str = "en") -> str:
    """A text of an exercise for a dose of the first so many units."""
    parameters = {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:dose]),
        "unit_count": dose,
        "unit_count_in_words": Message(f"engine.number.{dose}"),
        "duration": Message("engine.minutes", {"minutes": dose}),
        "passes_of_units": tuple(unit.label for unit in made.units[:dose]),
        "seconds": 60 * dose,
        "minutes": dose,
    }
    return instruments().wording.render(Message(f"trumpet.{name}.{part}", parameters), locale)
