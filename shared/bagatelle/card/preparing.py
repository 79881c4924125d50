"""Preparing cards: what takes a plugin and a search is done here, once for each routine."""

from collections.abc import Sequence

from bagatelle.card.kinds import KINDS
from bagatelle.catalogue.instruments import Instruments
from bagatelle.model.card import Card, CardKind, CardSet
from bagatelle.model.request import CompressionRequest


def prepare(request: CompressionRequest, instruments: Instruments, kind: CardKind) -> Card:
    """Make the card of one kind of hard day.

    Of the request neither circumstances nor history are looked at; its date matters to what is due alone.

    Raises
    ------
    InvalidInputError, NotShortError, NotSpecificError
        As of `compress`.
    NothingAllowedError, NothingFitsError, NoShortDayFitsError
        The routine gives nothing for this kind of day.
    """
    raise NotImplementedError


def prepare_all(
    request: CompressionRequest, instruments: Instruments, kinds: Sequence[CardKind] = KINDS
) -> CardSet:
    """Make the cards of several kinds, with what is the same in them worked out once.

    A kind that the routine gives nothing for is named, and has no card. Raises what `prepare` raises otherwise.
    """
    raise NotImplementedError
