"""What the numbers of a unit may come to, so that somebody can play it."""

import math
from typing import Final

from bagatelle.toml_catalogue.expression import Exact

SHORTEST_UNIT_SECONDS: Final = 5
LONGEST_UNIT_SECONDS: Final = 600
HIGHEST_PITCH: Final = 127
_LARGEST: Final = 10**9
_SMALLEST_SHARE: Final = 10**6
"""From one millionth. Numbers of music are far within; others would not fit a double, or be nothing there."""


class UnitError(ValueError):
    """A unit cannot be played. Goes on from its name: `would last 2 seconds (accepted: 5 to 600)`."""

    def __init__(self, kind: str, what: str, accepted: str) -> None:
        """Say why.

        :param kind: the same for what other numbers could mend in the same way.
        """
        self.kind = kind
        self.what = what
        self.accepted = accepted
        super().__init__(f"{what} (accepted: {accepted})")


def counted(what: str, value: Exact) -> int:
    """Return a number that must be whole."""
    if value.denominator != 1 or not 1 <= value <= _LARGEST:
        raise UnitError(what, f"has {_shown(value)} {what}", "whole numbers from 1")
    return int(value)


def positive(what: str, value: Exact) -> Exact:
    """Return a number that must be more than nothing."""
    # Whole numbers are compared many times faster than fractions.
    numerator, denominator = value.numerator, value.denominator
    if not denominator <= numerator * _SMALLEST_SHARE or numerator > _LARGEST * denominator:
        raise UnitError(what, f"has {_shown(value)} for {what}", f"more than 0, at most {_LARGEST}")
    return value


def pause_of(seconds: Exact) -> Exact:
    """Return the length of a pause."""
    if not 0 <= seconds.numerator <= _LARGEST * seconds.denominator:
        raise UnitError("pause_seconds", f"has a pause of {_shown(seconds)} seconds", "0 or more")
    return seconds


def pitch_of(value: Exact) -> int:
    """Return a pitch, rounded to the nearest one that has a number."""
    nearest = round(value)
    if not 0 <= nearest <= HIGHEST_PITCH:
        raise UnitError(
            "pitch", f"has a pitch that comes to {_shown(value)}", f"0 to {HIGHEST_PITCH}, C4 being 60"
        )
    return nearest


def check_length(seconds: Exact) -> None:
    """See that a unit lasts neither too short nor too long."""
    lasts = math.ceil(seconds)  # as every unit is counted: rounded up to a whole second
    accepted = f"{SHORTEST_UNIT_SECONDS} to {LONGEST_UNIT_SECONDS}"
    if lasts < SHORTEST_UNIT_SECONDS:
        raise UnitError("short", f"would last {_shown(lasts)} seconds", accepted)
    if lasts > LONGEST_UNIT_SECONDS:
        raise UnitError("long", f"would last {_shown(lasts)} seconds", accepted)


def _shown(value: Exact) -> str:
    if value > _LARGEST:
        return f"more than {_LARGEST}"
    if value < -_LARGEST:
        return f"less than -{_LARGEST}"
    return str(value) if isinstance(value, int) else f"{float(value):g}"
