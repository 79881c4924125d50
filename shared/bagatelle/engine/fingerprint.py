"""A fingerprint of what went into a plan: the same for the same request in whatever order tasks were listed."""

import hashlib
from collections.abc import Iterator, Sequence
from operator import itemgetter

import msgspec
from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from bagatelle.engine.identity import block_ids, task_ids
from bagatelle.model.plan import MadeWith, PluginProblem
from bagatelle.model.request import Block, CompressionRequest, Task


def fingerprint_of(
    request: CompressionRequest,
    made_with: MadeWith,
    problems: tuple[PluginProblem, ...] | UnsetType = UNSET,
) -> str:
    """`sha256:` and 64 hexadecimal digits of the canonical request and of what the plan was made with.

    A plan that does without what a plugin should have said is another one, so that goes in too.
    """
    said = () if problems is UNSET else (sorted((each.task, each.failure) for each in problems),)
    canonical = msgspec.json.encode([_canonical(request), made_with, *said], order="sorted")
    return f"sha256:{hashlib.sha256(canonical).hexdigest()}"


def _canonical(request: CompressionRequest) -> CompressionRequest:
    blocks = request.routine.blocks
    ids = iter(task_ids([task for block in blocks for task in _tasks(block)]))
    named = tuple(
        replace(block, id=block_id, tasks=_named(_tasks(block), ids))
        for block, block_id in zip(blocks, block_ids(blocks), strict=True)
    )
    history = sorted(request.history, key=msgspec.json.encode)
    return replace(request, routine=replace(request.routine, blocks=named), history=tuple(history))


def _named(tasks: Sequence[Task], ids: Iterator[str]) -> tuple[Task, ...]:
    """The tasks with their ids, in ascending order of these."""
    named = [(next(ids), task) for task in tasks]
    named.sort(key=itemgetter(0))
    return tuple(task if task.id is not None else replace(task, id=one) for one, task in named)


def _tasks(block: Block) -> tuple[Task, ...]:
    return block.tasks or (Task(id=block.id, title=block.title),)
