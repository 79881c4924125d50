"""The piano as the host loads it, by the entry point that its pyproject.toml states."""

import tomllib
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Material, Message

PYPROJECT = Path(__file__).parents[3] / "plugins" / "piano" / "pyproject.toml"


@cache
def instruments() -> Instruments:
    points = tomllib.loads(PYPROJECT.read_text())["project"]["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


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
        "seconds": 60 * dose,
        "minutes": dose,
    }
    return instruments().wording.render(Message(f"{exercise}.{part}", parameters), locale)


def details(made: Material, locale: str = "en") -> dict[str, str]:
    """What is said of each unit alone, by unit id."""
    return {unit.id: instruments().wording.render(unit.detail, locale) for unit in made.units if unit.detail}
