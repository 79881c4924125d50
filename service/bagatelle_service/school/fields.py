"""Kinds of fields that several things of a school have."""

import zoneinfo
from functools import cache
from typing import Annotated, Final

from bagatelle.model.errors import FieldError, InvalidInputError
from msgspec import Meta

ID_PATTERN: Final = r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$(?!\n)"

# `$` alone would let a trailing newline through in Python.
DisplayName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=100,
        pattern=r"^[^\x00-\x1f\x7f]*$(?!\n)",
        description="What the school calls somebody; may be a pseudonym.",
    ),
]
Name = Annotated[str, Meta(min_length=1, max_length=100, pattern=r"^[^\x00-\x1f\x7f]*$(?!\n)")]
Key = Annotated[
    str,
    Meta(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_.:-]{0,63}$(?!\n)",
        max_length=64,
        description="The client's own key: letters, digits and `_ . : -`, at most 64 of them.",
    ),
]
TimeZone = Annotated[
    str,
    Meta(
        pattern=r"^[A-Za-z0-9_+/-]{1,64}$(?!\n)",
        max_length=64,
        description="A name of the IANA time zone database, such as Europe/Oslo.",
    ),
]
IdText = Annotated[str, Meta(pattern=ID_PATTERN, max_length=36)]
Revision = Annotated[int, Meta(ge=1, description="Counts the changes; the ETag is this number.")]


@cache
def _known_zones() -> frozenset[str]:
    return frozenset(zoneinfo.available_timezones())


def check_time_zone(name: str, pointer: str = "/time_zone") -> None:
    """See that a time zone is one.

    :raises InvalidInputError: where it is none.
    """
    if name not in _known_zones():
        accepted = "a name of the IANA time zone database, such as Europe/Oslo or UTC"
        raise InvalidInputError(
            (FieldError(pointer=pointer, message="unknown time zone", accepted=accepted),)
        )
