"""A routine by keys: the same blocks, tasks and passages have the same names in every revision and every copy.

    {"instrument", "locale", "title", "learner": {"level"}, "policy": {...},
     "blocks": {block: {"title", "area", "minutes"}},
     "tasks": {task: {"block", "title", "exercise", "settings", ..., "passages": {passage: {...}}}},
     "order": {"blocks": [...], "tasks": {block: [...]}, "passages": {task: [...]}}}

Made from it, a routine names every id, and every block lists its tasks. The limits of a learner's body are no part
of it: they are one person's, and go with no copy.
"""

from typing import Any

import msgspec
from bagatelle.decode import typed
from bagatelle.engine.identity import block_ids
from bagatelle.model.request import Block, Limits, Passage, PolicyChoices, Task

from bagatelle_service.school.routine_document import RoutineContent, RoutineDocument

Tree = dict[str, Any]


def tree_of(document: RoutineDocument) -> Tree:
    """Write a routine by keys."""
    routine = document.routine
    tree: Tree = {
        "instrument": document.instrument,
        "locale": document.locale,
        "title": routine.title,
        "learner": {"level": document.learner.level},
        "policy": _fields(document.policy),
        "blocks": {},
        "tasks": {},
        "order": {"blocks": [], "tasks": {}, "passages": {}},
    }
    keys = iter([task.key for task in document.tasks])
    for block, block_id in zip(routine.blocks, block_ids(routine.blocks), strict=True):
        tree["blocks"][block_id] = _fields(block, "id", "tasks")
        tree["order"]["blocks"].append(block_id)
        # A block that lists no tasks stands for one of its own title.
        tasks = {next(keys): task for task in block.tasks or (Task(title=block.title),)}
        tree["order"]["tasks"][block_id] = list(tasks)
        for key, task in tasks.items():
            _add_task(tree, key, task, block_id)
    return tree


def content_of(tree: Tree, limits: Limits) -> RoutineContent:
    """Make a routine of what stands by keys.

    :raises InvalidInputError: where it is none, as it holds too much.
    """
    order, learner = tree["order"], tree["learner"]
    blocks = [
        {
            "id": block_id,
            **tree["blocks"][block_id],
            "tasks": [_task(tree, key) for key in order["tasks"][block_id]],
        }
        for block_id in order["blocks"]
    ]
    content = {
        "instrument": tree["instrument"],
        "locale": tree["locale"],
        "learner": {**learner, "limits": msgspec.to_builtins(limits)},
        "policy": tree["policy"],
        "routine": {"title": tree["title"], "blocks": blocks},
    }
    return typed(content, RoutineContent)


def _add_task(tree: Tree, key: str, task: Task, block_id: str) -> None:
    passages: dict[str, Passage] = {passage.id: passage for passage in task.passages}
    tree["order"]["passages"][key] = list(passages)
    tree["tasks"][key] = {
        "block": block_id,
        **_fields(task, "id", "passages"),
        "passages": {name: _fields(passage, "id") for name, passage in passages.items()},
    }


def _task(tree: Tree, key: str) -> dict[str, Any]:
    fields = dict(tree["tasks"][key])
    del fields["block"]
    passages = fields.pop("passages")
    listed = [{"id": name, **passages[name]} for name in tree["order"]["passages"][key]]
    return {"id": key, **fields, "passages": listed}


def _fields(value: Block | Task | Passage | PolicyChoices, *without: str) -> dict[str, Any]:
    fields: dict[str, Any] = msgspec.to_builtins(value)
    return {name: _plain(part) for name, part in fields.items() if name not in without}


def _plain(part: Any) -> Any:
    """Give 4.0 as 4: a default and what was read of it are the same number."""
    return int(part) if isinstance(part, float) and part.is_integer() else part
