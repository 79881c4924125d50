"""How much a plugin hands over, counted before any of it is copied, and no further than to a limit."""

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.faults import Fault, RefusedError

VALUES_LIMIT: Final = 1_000_000
"""So many values may all instruments, or all texts, of a plugin come to; lists count each entry anew."""
CHARACTERS_LIMIT: Final = 20_000_000
MATERIAL_VALUES_LIMIT: Final = 100_000
MATERIAL_CHARACTERS_LIMIT: Final = 2_000_000
BITS_LIMIT: Final = 64
"""Of a whole number: JSON carries no longer ones between programs."""
_PLAIN: Final = (float, type(None))


def check_size(
    item: str,
    value: object,
    values_limit: int = VALUES_LIMIT,
    characters_limit: int = CHARACTERS_LIMIT,
) -> None:
    """See that an answer is small enough to be copied.

    What refers to itself, or to the same list again and again, is counted as often as it would be written down.

    :raises RefusedError: where it is larger than one of the limits, or a whole number in it is too long.
    """
    values, characters = 1, 0
    waiting: list[object] = [value]
    while waiting:
        each = waiting.pop()
        if isinstance(each, str):
            characters += str.__len__(each)
        elif isinstance(each, int):
            _check_length(item, each)
        elif type(each) not in _PLAIN:
            count, parts = _parts(each)
            values += count
            if values <= values_limit:
                waiting.extend(parts)
        if values > values_limit or characters > characters_limit:
            accepted = f"at most {values_limit} values and {characters_limit} characters"
            raise RefusedError([Fault(item, f"is too large (accepted: {accepted})")])


def _check_length(item: str, number: int) -> None:
    if int.bit_length(number) > BITS_LIMIT:
        raise RefusedError([Fault(item, f"a whole number has more than {BITS_LIMIT} bits")])


def _parts(value: object) -> tuple[int, Iterable[object]]:
    """How much is in it, and what, by the built-in types' own ways: those of a subclass may never end."""
    if isinstance(value, Struct):
        names = type(value).__struct_fields__
        return len(names), [getattr(value, name) for name in names]
    if isinstance(value, dict):
        return 2 * dict.__len__(value), (part for pair in dict.items(value) for part in pair)
    if isinstance(value, tuple):
        return tuple.__len__(value), tuple.__iter__(value)
    if isinstance(value, list):
        return list.__len__(value), list.__iter__(value)
    if isinstance(value, set):
        return set.__len__(value), set.__iter__(value)
    if isinstance(value, frozenset):
        return frozenset.__len__(value), frozenset.__iter__(value)
    fields = _fields(value)
    return len(fields), fields


def _fields(value: object) -> list[object]:
    """Those of a class that is written down by its fields; of any other none."""
    kind = type(value)
    by_fields = hasattr(kind, "__dataclass_fields__") or hasattr(kind, "__attrs_attrs__")
    return list(vars(value).values()) if by_fields and hasattr(value, "__dict__") else []
