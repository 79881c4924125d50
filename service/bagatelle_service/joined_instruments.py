"""The loaded instruments, together with the catalogues of whichever school asks."""

from functools import lru_cache
from typing import Final

import msgspec
from bagatelle import Instruments
from bagatelle.toml_catalogue import CatalogueFileError, CatalogueText, join_catalogues, read_part
from msgspec import Struct

JOINED_KEPT: Final = 8
"""How many schools' instruments a process keeps; of others they are put together when somebody asks."""


class JoinedInstruments:
    """Puts instruments together, and keeps those that were asked for last. Safe to use from several threads.

    :param loaded: what every school has.
    """

    def __init__(self, loaded: Instruments) -> None:
        self.loaded = loaded
        self._joined = lru_cache(JOINED_KEPT)(self._join)

    def of(self, catalogues: tuple[CatalogueText, ...]) -> Instruments:
        """Return the instruments that there are with these catalogues; a wrong one is left out."""
        return self._joined(catalogues) if catalogues else self.loaded

    def _join(self, catalogues: tuple[CatalogueText, ...]) -> Instruments:
        return join_catalogues(self.loaded, catalogues).instruments


class CatalogueToRead(Struct, frozen=True, kw_only=True):
    """A catalogue that somebody sent, and the instrument that it is to have."""

    catalogue: CatalogueText
    instrument: str


class ReadCatalogue(Struct, frozen=True, kw_only=True):
    """What a catalogue turned out to hold."""

    name: str
    """Of the instrument."""
    version: str
    exercise_count: int
    data_bytes: int
    """What it comes to as JSON, with every value that its settings may have: a process that keeps it needs some
    forty times as much."""


def read_catalogue(asked: CatalogueToRead, loaded: Instruments) -> ReadCatalogue:
    """Hold a catalogue against every rule.

    :raises CatalogueFileError: with every fault and its line; or where it has another instrument.
    """
    text = asked.catalogue
    joined = join_catalogues(loaded, (text,))
    if text.name in joined.refused:
        raise joined.refused[text.name]
    (report,) = [each for each in joined.instruments.plugins if each.name == text.name]
    (identifier,) = report.instruments
    part = read_part(text.name, text.text.encode())
    if identifier != asked.instrument:
        reason = f"it is {identifier!r}, and the path names {asked.instrument!r} (accepted: the same in both)"
        raise CatalogueFileError([part.fault("/instrument/id", reason)])
    instrument = joined.instruments.instrument(identifier)
    if instrument is None or part.part.instrument is msgspec.UNSET:
        raise LookupError(f"{identifier!r} was joined, and is not there")
    return ReadCatalogue(
        name=part.part.instrument.name,
        version=part.part.instrument.version,
        exercise_count=len(instrument.exercises),
        data_bytes=sum(
            len(msgspec.json.encode(each)) for each in (instrument, joined.instruments.texts_of(text.name))
        ),
    )
