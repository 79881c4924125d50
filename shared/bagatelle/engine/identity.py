"""Ids for blocks and tasks that were sent without one, the same in whatever order they were listed."""

import re
import unicodedata
from collections import Counter
from collections.abc import Sequence

import msgspec

from bagatelle.model.request import Block, Task

_LENGTH = 48


def slug_of(text: str) -> str:
    """Letters, digits and hyphens of a title, in lower case; `untitled` where it has none."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LENGTH].strip("-") or "untitled"


def task_ids(tasks: Sequence[Task]) -> list[str]:
    """The id of each task: its own, else one made from its title or exercise."""
    return _ids(
        [task.id for task in tasks],
        [slug_of(task.title or task.exercise or "") for task in tasks],
        [msgspec.json.encode(task, order="deterministic") for task in tasks],
    )


def block_ids(blocks: Sequence[Block]) -> list[str]:
    """The id of each block: its own, else one made from its title. Blocks have an order, so ties keep it."""
    return _ids(
        [block.id for block in blocks],
        [slug_of(block.title) for block in blocks],
        [position.to_bytes(2, "big") for position in range(len(blocks))],
    )


def _ids(given: Sequence[str | None], slugs: Sequence[str], contents: Sequence[bytes]) -> list[str]:
    # Numbered by content, so that the order of listing does not decide who is called what.
    order = sorted(range(len(given)), key=lambda index: (slugs[index], contents[index]))
    taken = {one for one in given if one is not None}
    counts: Counter[str] = Counter()
    ids = [one or "" for one in given]
    for index in order:
        if given[index] is not None:
            continue
        while not ids[index] or ids[index] in taken:
            counts[slugs[index]] += 1
            number = counts[slugs[index]]
            ids[index] = slugs[index] if number == 1 else f"{slugs[index]}-{number}"
        taken.add(ids[index])
    return ids
