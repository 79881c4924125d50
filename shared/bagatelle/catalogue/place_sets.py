"""Sets of places in a list as whole numbers, bit n for place n: joined, met and counted in one step each."""

from collections.abc import Iterable, Iterator
from typing import Final

_BITS_OF_BYTE: Final = tuple(tuple(bit for bit in range(8) if byte >> bit & 1) for byte in range(256))


def set_of(places: Iterable[int], size: int) -> int:
    """Put places together.

    :param size: more than any of them.
    """
    held = bytearray(size // 8 + 1)
    for place in places:
        held[place >> 3] |= 1 << (place & 7)
    return int.from_bytes(held, "little")


def places_of(held: int) -> Iterator[int]:
    """List the places of a set, the first first."""
    for number, byte in enumerate(held.to_bytes((held.bit_length() + 7) // 8, "little")):
        if byte:
            for bit in _BITS_OF_BYTE[byte]:
                yield number << 3 | bit
