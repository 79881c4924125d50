"""JSON Pointer (RFC 6901): the address of a field."""

from collections.abc import Iterable


def pointer_to(segments: Iterable[str | int], root: str = "") -> str:
    """Return the pointer to a field by the names and positions on the way to it, below `root`.

    >>> pointer_to(["blocks", 0, "a/b"])
    '/blocks/0/a~1b'
    """
    return root + "".join(f"/{str(segment).replace('~', '~0').replace('/', '~1')}" for segment in segments)
