"""The exercises of the snare drum that stand in TOML, as the host loads them and as the files have them."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import bagatelle_snare_drum
from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Exercise, Material, Message
from bagatelle_snare_drum.catalogue import FILES

FOLDER = Path(bagatelle_snare_drum.__file__).parent
Row = Mapping[str, Any]


@cache
def documents() -> tuple[Row, ...]:
    return tuple(tomllib.loads((FOLDER / name).read_text(encoding="utf-8")) for name in FILES)


@cache
def instruments() -> Instruments:
    project = tomllib.loads((FOLDER.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    points = project["entry-points"][ENTRY_POINT_GROUP]
    return load_instruments(
        entry_points=[EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in points.items()]
    )


@cache
def entries() -> Mapping[str, Row]:
    """The exercises as the files have them, by name, in their order."""
    return {entry["name"]: entry for document in documents() for entry in document["exercise"]}


def exercise(name: str) -> Exercise:
    return instruments().exercise(f"snare-drum.{name}")


@cache
def choices(name: str) -> Mapping[str, Row]:
    """A list of choices, by the names of its values."""
    (rows,) = (document["choices"][name] for document in documents() if name in document["choices"])
    return {row["name"]: row for row in rows}


def material(name: str, **settings: Any) -> Material:
    """What the defaults make, with these settings changed."""
    return instruments().material(f"snare-drum.{name}", {**exercise(name).defaults, **settings})


def said(name: str, part: str, made: Material, count: int, locale: str = "en") -> str:
    """A text of an exercise for a dose of the first so many units."""
    parameters = {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:count]),
        "unit_count": count,
        "unit_count_in_words": Message(f"engine.number.{count}"),
        "seconds": 60 * count,
        "minutes": count,
    }
    return instruments().wording.render(Message(f"snare-drum.{name}.{part}", parameters), locale)


def rendered(message: Message | None, locale: str = "en") -> str:
    return "" if message is None else instruments().wording.render(message, locale)
