"""The exercises that need no code, from TOML, put together with those that code makes."""

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

import msgspec
from bagatelle.contract import Instrument, Texts

if TYPE_CHECKING:
    from bagatelle.toml_catalogue import Catalogue

_FILES: Final = ("piano.toml", "technique.toml", "harmony.toml", "music.toml")


@cache
def catalogue() -> "Catalogue":
    """Read the data files once, and what reads them only then, so that the plugin is quick to import."""
    from bagatelle.toml_catalogue import Catalogue, read_part

    folder = files("bagatelle_piano")
    return Catalogue([read_part(name, folder.joinpath(name).read_bytes()) for name in _FILES])


def with_catalogue(made: Instrument) -> Instrument:
    """Add the exercises of the data files, all ordered by id, and the compass."""
    found = catalogue().instrument
    both = sorted((*made.exercises, *found.exercises), key=lambda exercise: exercise.id)
    return msgspec.structs.replace(found, exercises=tuple(both), proposals=made.proposals)


def with_catalogue_texts(made: tuple[Texts, ...]) -> tuple[Texts, ...]:
    """Add the texts of the data files, locale by locale."""
    found = {each.locale: each.messages for each in catalogue().texts}
    return tuple(
        Texts(locale=each.locale, messages={**found.get(each.locale, {}), **each.messages}) for each in made
    )
