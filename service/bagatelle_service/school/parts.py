"""Long lists in parts, as databases bound what one statement holds."""

from collections.abc import Iterator, Sequence
from typing import Final, TypeVar

Item = TypeVar("Item")
PART: Final = 500


def in_parts(items: Sequence[Item]) -> Iterator[Sequence[Item]]:
    """Give a list in parts of so many."""
    for begin in range(0, len(items), PART):
        yield items[begin : begin + PART]
