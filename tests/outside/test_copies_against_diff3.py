"""Bringing a copy and its origin together against GNU diff3 (diffutils), which knows nothing of tasks but lines.

A routine is written a field a line, each with its place in it, and lines between that only that place has: so a
line that one side changed stands between lines that nobody did. Whatever diff3 merges without a conflict must come
out the same here. Where it finds one, it may be of neighbours only, which names tell apart.
"""

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from bagatelle_service.school.routine_merge import merge_routines
from bagatelle_service.school.routine_tree import Tree, tree_of

from tests.property.copied_routines import document
from tests.seeded import seeded


def lines_of(tree: Tree) -> Iterator[str]:
    for name in ("instrument", "locale", "title", "learner", "policy"):
        yield from line(name, tree[name])
    for block in tree["order"]["blocks"]:
        yield from line(f"blocks/{block}", tree["blocks"][block])
        for key in tree["order"]["tasks"][block]:
            yield from lines_of_task(tree, key)


def lines_of_task(tree: Tree, key: str) -> Iterator[str]:
    task = tree["tasks"][key]
    # An exercise and its settings are one thing.
    pair = {"exercise": task["exercise"], "settings": task["settings"]}
    yield from line(f"tasks/{key}/exercise", pair)
    for name, part in task.items():
        if name not in ("exercise", "settings", "passages"):
            yield from line(f"tasks/{key}/{name}", part)
    for passage in tree["order"]["passages"][key]:
        yield from line(f"tasks/{key}/passages/{passage}", task["passages"][passage])


def line(place: str, value: Any) -> Iterator[str]:
    yield f"{place} begins"
    yield json.dumps([place, value], sort_keys=True)
    yield f"{place} ends"


def diff3(folder: Path, own: Tree, base: Tree, new: Tree) -> list[str] | None:
    """What diff3 makes of the three; None where it finds a conflict. What both made the same is none to it."""
    paths = [folder / name for name in ("own", "base", "new")]
    for path, tree in zip(paths, (own, base, new), strict=True):
        path.write_text("".join(f"{one}\n" for one in lines_of(tree)), encoding="utf-8")
    done = subprocess.run(["diff3", "-m", "-E", *paths], capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), done.stderr
    return done.stdout.splitlines() if done.returncode == 0 else None


def never(_: str) -> bool:
    return False


def with_other_fields(random: Random, tree: Tree) -> Tree:
    """The routine with a few fields of its tasks changed."""
    made: Tree = json.loads(json.dumps(tree))
    for task in made["tasks"].values():
        for name, choices in (
            ("minutes", [5, 10, 20]),
            ("stage", [None, "new"]),
            ("exercise", ["one.scales"]),
        ):
            if random.random() < 0.15:
                task[name] = random.choice(choices)
    return made


def with_other_tasks(random: Random, tree: Tree) -> Tree:
    """The routine with a task gone and one that was not there. None is moved: to diff3 that is another task."""
    made = with_other_fields(random, tree)
    block = random.choice(made["order"]["blocks"])
    keys = made["order"]["tasks"][block]
    if len(keys) > 1 and random.random() < 0.5:
        gone = keys.pop(random.randrange(len(keys)))
        del made["tasks"][gone], made["order"]["passages"][gone]
    if random.random() < 0.5:
        new = f"new-{random.randrange(1000)}"
        source = made["tasks"][keys[0]]
        made["tasks"][new] = {**source, "passages": {}}
        made["order"]["passages"][new] = []
        keys.insert(random.randrange(len(keys) + 1), new)
    return made


@pytest.mark.parametrize("seed", range(25))
def test_fields_alone(seed: int, tmp_path: Path) -> None:
    random = seeded(f"fields {seed}")
    base = tree_of(document(random))
    own, new = with_other_fields(random, base), with_other_fields(random, base)
    merged = merge_routines(base, own, new, never)
    by_lines = diff3(tmp_path, own, base, new)
    clashes = any(difference.fate == "conflict" for difference in merged.differences)
    assert (by_lines is None) == clashes
    assert by_lines is None or by_lines == list(lines_of(merged.tree))


def test_tasks_that_come_and_go(tmp_path: Path) -> None:
    merged_by_both = 0
    for seed in range(60):
        random = seeded(f"tasks {seed}")
        base = tree_of(document(random))
        own, new = with_other_tasks(random, base), with_other_tasks(random, base)
        by_lines = diff3(tmp_path, own, base, new)
        if by_lines is not None:
            merged_by_both += 1
            assert by_lines == list(lines_of(merge_routines(base, own, new, never).tree)), seed
    assert merged_by_both >= 15
