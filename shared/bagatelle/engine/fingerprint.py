"""A fingerprint of what went into a plan: the same for the same request in whatever order tasks were listed."""

import hashlib

import msgspec
from msgspec.structs import replace

from bagatelle.engine.identity import block_ids, task_ids
from bagatelle.model.plan import MadeWith
from bagatelle.model.request import Block, CompressionRequest, Task


def fingerprint_of(request: CompressionRequest, made_with: MadeWith) -> str:
    """`sha256:` and 64 hexadecimal digits of the canonical request and of what the plan was made with."""
    canonical = msgspec.json.encode([_canonical(request), made_with], order="sorted")
    return f"sha256:{hashlib.sha256(canonical).hexdigest()}"


def _canonical(request: CompressionRequest) -> CompressionRequest:
    blocks = request.routine.blocks
    ids = iter(task_ids([task for block in blocks for task in _tasks(block)]))
    named = [
        replace(block, id=block_id, tasks=tuple(replace(task, id=next(ids)) for task in _tasks(block)))
        for block, block_id in zip(blocks, block_ids(blocks), strict=True)
    ]
    ordered = tuple(
        replace(block, tasks=tuple(sorted(block.tasks, key=lambda task: task.id or ""))) for block in named
    )
    history = sorted(request.history, key=lambda entry: msgspec.json.encode(entry))
    return replace(request, routine=replace(request.routine, blocks=ordered), history=tuple(history))


def _tasks(block: Block) -> tuple[Task, ...]:
    return block.tasks or (Task(id=block.id, title=block.title),)
