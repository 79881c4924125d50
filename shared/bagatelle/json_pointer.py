"""JSON Pointer (RFC 6901): the address of a field."""

from collections.abc import Iterable, Iterator


def pointer_to(segments: Iterable[str | int], root: str = "") -> str:
    """Return the pointer to a field by the names and positions on the way to it, below `root`.

    >>> pointer_to(["blocks", 0, "a/b"])
    '/blocks/0/a~1b'
    """
    return root + "".join(f"/{str(segment).replace('~', '~0').replace('/', '~1')}" for segment in segments)


def leaves(
    value: object, path: tuple[str | int, ...] = (), deepest: int | None = None
) -> Iterator[tuple[tuple[str | int, ...], object]]:
    """Go through a document: what is no mapping and no list, with the names and positions on the way to it.

    :param deepest: what so many names and positions lead to is returned as it is.
    """
    if len(path) == deepest:
        yield path, value
    elif isinstance(value, dict):
        for name, part in value.items():
            yield from leaves(part, (*path, name), deepest)
    elif isinstance(value, list):
        for position, part in enumerate(value):
            yield from leaves(part, (*path, position), deepest)
    else:
        yield path, value
