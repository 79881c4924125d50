"""The voice as the host loads it, by the entry point that its pyproject.toml states."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Exercise, Material, Message

DISTRIBUTION = Path(__file__).parents[3] / "plugins" / "voice"


@cache
def instruments() -> Instruments:
    project = tomllib.loads((DISTRIBUTION / "pyproject.toml").read_text())["project"]
    points = project["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def files() -> tuple[Mapping[str, Any], ...]:
    """The catalogue's files, as they stand."""
    folder = DISTRIBUTION / "bagatelle_voice"
    return tuple(tomllib.loads(file.read_text(encoding="utf-8")) for file in sorted(folder.glob("*.toml")))


@cache
def exercises() -> Mapping[str, Exercise]:
    """The voice's own, by name without the instrument's; not those that instruments share."""
    own = {entry["name"] for file in files() for entry in file.get("exercise", ())}
    names = {exercise.id.partition(".")[2]: exercise for exercise in instruments().exercises}
    return {name: exercise for name, exercise in names.items() if name in own}


def shared() -> list[str]:
    """The exercises that instruments share, by name."""
    return [name for file in files() for name in file.get("common", {}).get("take", ())]


@cache
def choices(name: str) -> Mapping[str, Mapping[str, Any]]:
    """A list of choices as it stands in the files, by the names of its values."""
    for file in files():
        rows = file.get("choices", {}).get(name)
        if rows is not None:
            return {row["name"]: row for row in rows}
    raise KeyError(name)


def complete(exercise: str, settings: Mapping[str, Any]) -> Mapping[str, Any]:
    """These settings, found right, and the defaults of the others."""
    assert instruments().settings_errors(f"voice.{exercise}", settings) == ()
    return instruments().complete_settings(f"voice.{exercise}", settings)


def material(exercise: str, **settings: Any) -> Material:
    """The material of an exercise with these settings and its defaults for the others."""
    return instruments().material(f"voice.{exercise}", complete(exercise, settings))


def said(exercise: str, part: str, made: Material, dose: int, locale: str = "en") -> str:
    """A text of an exercise for a dose of the first so many units."""
    parameters = {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:dose]),
        "unit_count": dose,
        "unit_count_in_words": Message(f"engine.number.{dose}"),
        "seconds": 60 * dose,
        "minutes": dose,
    }
    return instruments().wording.render(Message(f"voice.{exercise}.{part}", parameters), locale)


def has_text(exercise: str, part: str) -> bool:
    return instruments().wording.has(f"voice.{exercise}.{part}", "en")


def caution_texts(exercise: Exercise, locale: str = "en") -> list[str]:
    return [instruments().wording.render(Message(caution), locale) for caution in exercise.cautions]
