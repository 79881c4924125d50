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
DEPTH_LIMIT: Final = 100
BITS_LIMIT: Final = 64
"""Of a whole number: JSON carries no longer ones between programs."""
_NONE_LEFT: Final = object()


def check_size(
    item: str,
    value: object,
    values_limit: int = VALUES_LIMIT,
    characters_limit: int = CHARACTERS_LIMIT,
) -> None:
    """See that an answer is small enough to be copied.

    What refers to itself, or to the same list again and again, is counted as often as it would be written down.

    :raises RefusedError: where it is larger than one of the limits, or nested too deep, or a whole number in it
        is too long.
    """
    values, characters = 0, 0
    # One iterator for each level that is being gone through, the innermost last.
    levels = [iter((value,))]
    while levels:
        each = next(levels[-1], _NONE_LEFT)
        if each is _NONE_LEFT:
            levels.pop()
            continue
        values += 1
        characters += str.__len__(each) if isinstance(each, str) else 0
        if values > values_limit or characters > characters_limit:
            accepted = f"at most {values_limit} values and {characters_limit} characters"
            raise RefusedError([Fault(item, f"is too large (accepted: {accepted})")])
        if isinstance(each, int) and int.bit_length(each) > BITS_LIMIT:
            raise RefusedError([Fault(item, f"a whole number has more than {BITS_LIMIT} bits")])
        if len(levels) > DEPTH_LIMIT:
            raise RefusedError([Fault(item, f"is nested too deep (accepted: {DEPTH_LIMIT} levels)")])
        levels.append(iter(_parts(each)))


def _parts(value: object) -> Iterable[object]:
    """What is in it, by the built-in types' own ways: those of a subclass may never end."""
    if isinstance(value, list):
        return list.__iter__(value)
    if isinstance(value, tuple):
        return tuple.__iter__(value)
    if isinstance(value, dict):
        return (part for pair in dict.items(value) for part in pair)
    if isinstance(value, set):
        return set.__iter__(value)
    if isinstance(value, frozenset):
        return frozenset.__iter__(value)
    if isinstance(value, Struct):
        return (getattr(value, name) for name in type(value).__struct_fields__)
    return getattr(value, "__dict__", {}).values() if _is_written_by_fields(value) else ()


def _is_written_by_fields(value: object) -> bool:
    kind = type(value)
    return hasattr(kind, "__dataclass_fields__") or hasattr(kind, "__attrs_attrs__")
