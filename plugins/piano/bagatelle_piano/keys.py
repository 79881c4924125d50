"""The fifteen major and fifteen minor keys, in the order of the circle of fifths."""

from collections.abc import Sequence
from functools import cache
from typing import Final, Literal

from bagatelle.contract import Message

from bagatelle_piano.pitches import spelling_id, spelling_name, spelling_of

Mode = Literal["major", "minor"]

SIGNATURES: Final = (*range(8), *range(-1, -8, -1))
"""Sharps (positive) or flats (negative), in the order in which units come."""

_MINOR_TONIC: Final = 3
"""The relative minor begins three fifths further on: C (0), A (3)."""


def tonic(signature: int, mode: Mode) -> int:
    """Spelling of the tonic of a key with so many sharps or flats."""
    return signature + (_MINOR_TONIC if mode == "minor" else 0)


@cache
def key_names(mode: Mode) -> tuple[str, ...]:
    """Names of the fifteen keys of a mode, in the order of units."""
    return tuple(spelling_name(tonic(signature, mode)) for signature in SIGNATURES)


def in_circle_order(names: Sequence[str], mode: Mode) -> tuple[int, ...]:
    """Tonics of the named keys, in the order of the circle of fifths.

    :raises ValueError: where one has no key of that mode with seven sharps or flats at most.
    """
    order = key_names(mode)
    strangers = [name for name in names if name not in order]
    if strangers:
        raise ValueError(
            f"There is no {mode} key of {' or '.join(strangers)} with at most seven sharps or flats. "
            f"Accepted are {', '.join(order)}."
        )
    return tuple(spelling_of(name) for name in order if name in names)


def key_id(fifths: int, mode: Mode) -> str:
    """Unit id of a key: `C` or `F-sharp`; a minor key adds `-minor`."""
    return spelling_id(fifths) + ("-minor" if mode == "minor" else "")


def key_label(fifths: int, mode: Mode) -> Message:
    """The key in words: `F sharp`, `B flat minor`."""
    name = tonic_label(fifths)
    return name if mode == "major" else Message("piano.key.minor", {"tonic": name})


@cache
def tonic_label(fifths: int) -> Message:
    """The tonic alone in words: `F sharp`."""
    return Message(f"piano.tonic.{spelling_id(fifths)}")
