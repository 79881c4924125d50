"""The kinds of hard day that a routine is prepared for, and which of them a day is."""

from collections.abc import Mapping
from typing import Final, get_args

from bagatelle.engine.budget import seconds_of
from bagatelle.model.card import CardKind
from bagatelle.model.request import Circumstances
from bagatelle.model.sheet import Ask, AskedWindow

KINDS: Final[tuple[CardKind, ...]] = get_args(CardKind)
CIRCUMSTANCES: Final[Mapping[CardKind, Circumstances]] = {
    "usual": Circumstances(),
    "scraps": Circumstances(),
    "low-energy": Circumstances(energy="low"),
    "away": Circumstances(instrument_at_hand=False),
    "quiet": Circumstances(quiet=True),
    "resting": Circumstances(soreness=True),
}
"""What each kind is prepared for."""
LONGEST_SCRAP_SECONDS: Final = 600


def kind_of_day(circumstances: Circumstances) -> CardKind:
    """The one kind of a day. What spares the body comes first, then what is not there, then what walls allow."""
    if circumstances.soreness or circumstances.sore:
        return "resting"
    if not circumstances.instrument_at_hand:
        return "away"
    if circumstances.quiet:
        return "quiet"
    if circumstances.energy == "low":
        return "low-energy"
    windows = ask_of(circumstances).windows
    is_scattered = len(windows) > 1 and all(each.seconds <= LONGEST_SCRAP_SECONDS for each in windows)
    return "scraps" if is_scattered else "usual"


def ask_of(circumstances: Circumstances) -> Ask:
    """The time that a day gives, in whole seconds."""
    if circumstances.windows:
        return Ask(
            windows=tuple(
                AskedWindow(seconds=seconds_of(window.minutes), starts_at=window.starts_at)
                for window in circumstances.windows
            )
        )
    if circumstances.minutes is None:
        return Ask()
    return Ask(windows=(AskedWindow(seconds=seconds_of(circumstances.minutes)),))
