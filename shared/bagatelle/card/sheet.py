"""Making the day sheet of a card."""

from bagatelle.model.card import Card
from bagatelle.model.sheet import DaySheet, MadeFrom


def make_sheet(card: Card, made_from: MadeFrom) -> DaySheet:
    """Make the sheet of one date. The same card and the same `made_from` give the same sheet, always.

    Raises
    ------
    NotMoreTimeError
        What the day gave later is not more than what it gave before.
    """
    raise NotImplementedError
