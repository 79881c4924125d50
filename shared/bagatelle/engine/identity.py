"""Ids for blocks and tasks that were sent without one, the same in whatever order they were listed."""

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence

import msgspec

from bagatelle.model.request import Block, Task

_LENGTH = 48


def slug_of(text: str) -> str:
    """Letters, digits and hyphens of a title, in lower case; `untitled` where it has none."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LENGTH].strip("-") or "untitled"


def task_ids(tasks: Sequence[Task]) -> list[str]:
    """The id of each task: its own, else one made from its title or exercise."""
    unnamed = {
        place: (slug_of(task.title or task.exercise or ""), msgspec.json.encode(task, order="deterministic"))
        for place, task in enumerate(tasks)
        if task.id is None
    }
    return _ids([task.id for task in tasks], unnamed)


def block_ids(blocks: Sequence[Block]) -> list[str]:
    """The id of each block: its own, else one made from its title. Blocks have an order, so ties keep it."""
    unnamed = {
        place: (slug_of(block.title), place.to_bytes(2, "big"))
        for place, block in enumerate(blocks)
        if block.id is None
    }
    return _ids([block.id for block in blocks], unnamed)


def _ids(given: Sequence[str | None], unnamed: Mapping[int, tuple[str, bytes]]) -> list[str]:
    """The ids given, and made ones at the places of those unnamed (slug, content)."""
    taken = {one for one in given if one is not None}
    counts: Counter[str] = Counter()
    ids = [one or "" for one in given]
    # Numbered by content, so that the order of listing does not decide who is called what.
    for place in sorted(unnamed, key=unnamed.__getitem__):
        slug, _ = unnamed[place]
        while not ids[place] or ids[place] in taken:
            counts[slug] += 1
            ids[place] = slug if counts[slug] == 1 else f"{slug}-{counts[slug]}"
        taken.add(ids[place])
    return ids
