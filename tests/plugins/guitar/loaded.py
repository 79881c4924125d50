"""The guitar as the host loads it, by the entry point that its pyproject.toml states."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Exercise, Material, Message
from bagatelle.toml_catalogue.catalogue import common_part

DISTRIBUTION = Path(__file__).parents[3] / "plugins" / "guitar"
Row = Mapping[str, Any]


@cache
def documents() -> tuple[Mapping[str, Any], ...]:
    """The files as they stand."""
    files = sorted((DISTRIBUTION / "bagatelle_guitar").glob("*.toml"))
    return tuple(tomllib.loads(file.read_text(encoding="utf-8")) for file in files)


@cache
def instruments() -> Instruments:
    project = tomllib.loads((DISTRIBUTION / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    points = project["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def exercises() -> Mapping[str, Exercise]:
    """By name, without the instrument's."""
    return {exercise.id.partition(".")[2]: exercise for exercise in instruments().exercises}


@cache
def own_exercises() -> Mapping[str, Exercise]:
    """Those that are not taken of what instruments share."""
    shared = {entry.name for entry in common_part().part.exercise}
    return {name: exercise for name, exercise in exercises().items() if name not in shared}


@cache
def choices(name: str) -> Mapping[str, Row]:
    """A list of choices as it stands in the files, by the names of its values."""
    (rows,) = (document["choices"][name] for document in documents() if name in document.get("choices", {}))
    return {row["name"]: row for row in rows}


def material(exercise: str, settings: Mapping[str, Any]) -> Material:
    """What complete settings make; InvalidInputError where they are refused."""
    return instruments().material(f"guitar.{exercise}", settings)


def said(exercise: str, part: str, made: Material, dose: int, locale: str) -> str:
    """A text of an exercise for a dose of the first so many units."""
    parameters = {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:dose]),
        "unit_count": dose,
        "unit_count_in_words": Message(f"engine.number.{dose}") if dose <= 12 else str(dose),
        "seconds": 60 * dose,
        "minutes": dose,
    }
    return instruments().wording.render(Message(f"guitar.{exercise}.{part}", parameters), locale)


def has_text(exercise: str, part: str) -> bool:
    return instruments().wording.has(f"guitar.{exercise}.{part}", "en")
