"""A day that has a sheet grows alone."""

import pytest
from bagatelle import Ask, MadeFrom, make_sheet
from bagatelle.model.errors import NotMoreTimeError
from msgspec.structs import replace

from tests.card_strategies import DAY, ask_of_seconds, made_card
from tests.seeded import seeded

CARD = replace(made_card(seeded("a card that grows")), quarter_seconds=600, quarter_windows=(600,))


def made_from(*asks: Ask) -> MadeFrom:
    return MadeFrom(card="c1", date=DAY, asks=asks)


def test_a_window_that_is_shorter_is_refused_with_what_was_given() -> None:
    with pytest.raises(NotMoreTimeError, match="has 299 seconds") as refused:
        make_sheet(CARD, made_from(ask_of_seconds(900, 300), ask_of_seconds(900, 299, 600)))
    error = refused.value
    assert (error.ask, error.window, error.least_seconds, error.given_seconds) == (1, 1, 300, 299)


def test_a_window_that_is_gone_is_refused() -> None:
    with pytest.raises(NotMoreTimeError, match="is gone") as refused:
        make_sheet(CARD, made_from(ask_of_seconds(300, 300), ask_of_seconds(300, 400), ask_of_seconds(900)))
    assert (refused.value.ask, refused.value.given_seconds) == (2, None)


def test_a_day_without_a_time_was_given_the_quarter() -> None:
    make_sheet(CARD, made_from(Ask(), ask_of_seconds(600)))
    with pytest.raises(NotMoreTimeError):
        make_sheet(CARD, made_from(Ask(), ask_of_seconds(599)))
