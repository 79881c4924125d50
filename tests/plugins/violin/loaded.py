"""The violin as the host loads it, by the entry point that its pyproject.toml states, and its files."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Material, Message

DISTRIBUTION = Path(__file__).parents[3] / "plugins" / "violin"


@cache
def instruments() -> Instruments:
    project = tomllib.loads((DISTRIBUTION / "pyproject.toml").read_text())["project"]
    points = project["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def files() -> tuple[Mapping[str, Any], ...]:
    return tuple(
        tomllib.loads(path.read_text("utf-8"))
        for path in sorted((DISTRIBUTION / "bagatelle_violin").glob("*.toml"))
    )


def choices(name: str) -> list[Mapping[str, Any]]:
    """A list of choices, each value a mapping of its columns."""
    (found,) = (each["choices"][name] for each in files() if name in each.get("choices", {}))
    return list(found)


def entries() -> Mapping[str, Mapping[str, Any]]:
    """The violin's own exercises, without those that instruments share."""
    return {entry["name"]: entry for each in files() for entry in each.get("exercise", ())}


def material(exercise: str, **settings: Any) -> Material:
    """The material of an exercise with these settings and its defaults for the others."""
    complete = instruments().complete_settings(f"violin.{exercise}", settings)
    assert instruments().settings_errors(f"violin.{exercise}", settings) == ()
    return instruments().material(f"violin.{exercise}", complete)


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
    return instruments().wording.render(Message(f"violin.{exercise}.{part}", parameters), locale)
