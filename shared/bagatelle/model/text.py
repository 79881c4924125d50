"""Text that is not yet in a language: a message id with its parameters."""

from collections.abc import Mapping
from typing import TypeAlias

from msgspec import Struct

Value: TypeAlias = "str | int | float | Message | tuple[str | Message, ...]"


class Message(Struct, frozen=True, kw_only=False, gc=False):
    """A sentence or phrase by its id in a text file, with what goes in its gaps.

    A parameter may be a number, a plain string (shown as it is), another message (rendered first),
    or a tuple of these (joined as the language lists things: "a, b and c").
    """

    id: str
    parameters: Mapping[str, Value] = {}
