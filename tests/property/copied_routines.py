"""Routines that were copied, and what two made of them since.

Made from a number each, as drawing every field by itself would take most of the time.
"""

from random import Random
from typing import Any

from bagatelle.decode import typed
from bagatelle_service.school.routine_document import RoutineContent, RoutineDocument, document_of
from bagatelle_service.school.routine_tree import Tree, tree_of
from hypothesis import strategies as st

from tests.seeded import seeded

NUMBERS = st.integers(0, 2**32)
KEYS = ("k1", "k2", "k3", "k4", "k5")
BLOCKS = ("warm", "rest", "last")


def routine_of(
    blocks: dict[str, dict[str, Any]], tasks: dict[str, dict[str, Any]], **fields: Any
) -> RoutineDocument:
    """Make a routine of blocks by id, each with the keys of its tasks, and tasks by key."""
    listed = [
        {**block, "id": name, "tasks": [{"id": key, **tasks[key]} for key in block["tasks"]]}
        for name, block in blocks.items()
    ]
    return document_of(typed({**fields, "routine": {"blocks": listed}}, RoutineContent))


def document(random: Random) -> RoutineDocument:
    """A routine whose ids and values come from few, so that two routines have much in common."""
    keys = random.sample(KEYS, random.randint(1, len(KEYS)))
    where = {key: random.choice(BLOCKS) for key in keys}
    blocks = {
        name: {
            "title": random.choice(["Warm-up", "Pieces"]),
            "minutes": random.choice([None, 30]),
            "tasks": [key for key in keys if where[key] == name],
        }
        for name in random.sample(BLOCKS, len(BLOCKS))
        if name in where.values()
    }
    return routine_of(
        blocks,
        {key: _task(random) for key in keys},
        instrument=random.choice([None, "oboe"]),
        learner={"level": random.choice([None, "beginner"])},
    )


def _task(random: Random) -> dict[str, Any]:
    settings = random.sample(["keys", "bpm", "flag"], random.randint(0, 2))
    passages = random.sample("abcd", random.randint(0, 3))
    return {
        "title": random.choice([None, "Scales", "Waltz"]),
        "exercise": random.choice([None, "one.scales", "one.thirds"]),
        "settings": {name: random.choice([1, True, [1, 2]]) for name in settings},
        "minutes": random.choice([5, 10, 20]),
        "stage": random.choice([None, "learning", "refining"]),
        "passages": [
            {"id": name, "label": random.choice(["Opening", "Coda"]), "seconds": random.choice([5, 10])}
            for name in passages
        ],
    }


def edited(random: Random, tree: Tree) -> Tree:
    """A routine with some tasks of another for its own, more or fewer of them: most stays as it was."""
    other = tree_of(document(random))
    tasks = dict(tree["tasks"])
    for key in KEYS:
        if random.random() < 0.25:
            tasks.pop(key, None)
            if key in other["tasks"]:
                tasks[key] = other["tasks"][key]
    tasks = tasks or other["tasks"]
    blocks = {**other["blocks"], **tree["blocks"]}
    used = [name for name in blocks if any(task["block"] == name for task in tasks.values())]
    listed = {
        name: {**blocks[name], "tasks": [key for key in tasks if tasks[key]["block"] == name]}
        for name in used
    }
    instrument = random.choice([tree["instrument"], "horn"])
    return tree_of(routine_of(listed, {key: _sent(tasks[key]) for key in tasks}, instrument=instrument))


def _sent(task: dict[str, Any]) -> dict[str, Any]:
    sent = {name: part for name, part in task.items() if name != "block"}
    return {**sent, "passages": [{"id": name, **passage} for name, passage in task["passages"].items()]}


def three_of(number: int) -> tuple[Tree, Tree, Tree]:
    """What was copied, the copy, and the origin: drawn apart, or edited from the first."""
    random = seeded(f"copies {number}")
    base = tree_of(document(random))
    if random.random() < 0.7:
        return base, edited(random, base), edited(random, base)
    return base, tree_of(document(random)), tree_of(document(random))


DOCUMENTS = NUMBERS.map(lambda number: document(seeded(f"routine {number}")))
THREES = NUMBERS.map(three_of)
