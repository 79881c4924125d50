"""Which kind of day what is given makes."""

import pytest
from bagatelle import Ask, ask_of, kind_of_day
from bagatelle.model.card import CardKind
from bagatelle.model.request import Circumstances, Window
from bagatelle.model.sheet import AskedWindow


def windows(*minutes: float) -> tuple[Window, ...]:
    return tuple(Window(minutes=each) for each in minutes)


@pytest.mark.parametrize(
    ("circumstances", "kind"),
    [
        (Circumstances(), "usual"),
        (Circumstances(minutes=5), "usual"),
        (Circumstances(focus="low"), "usual"),
        (Circumstances(windows=windows(5)), "usual"),
        (Circumstances(windows=windows(10, 10)), "scraps"),
        (Circumstances(windows=windows(5, 10.5)), "usual"),
        (Circumstances(energy="low", windows=windows(5, 5)), "low-energy"),
        (Circumstances(quiet=True, energy="low"), "quiet"),
        (Circumstances(instrument_at_hand=False, quiet=True), "away"),
        (Circumstances(soreness=True, instrument_at_hand=False), "resting"),
        (Circumstances(sore=("lip",)), "resting"),
    ],
)
def test_the_kind_of_a_day(circumstances: Circumstances, kind: CardKind) -> None:
    assert kind_of_day(circumstances) == kind


def test_what_a_day_gives_in_whole_seconds() -> None:
    assert ask_of(Circumstances()) == Ask()
    assert ask_of(Circumstances(minutes=7.5)) == Ask(windows=(AskedWindow(seconds=450),))
    given = (Window(minutes=5, starts_at="07:30"), Window(minutes=0.5))
    assert ask_of(Circumstances(windows=given)) == Ask(
        windows=(AskedWindow(seconds=300, starts_at="07:30"), AskedWindow(seconds=30))
    )
