"""A routine that was copied, and its copy: what each made of it since, brought together task by task."""

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec import UNSET, Struct
from msgspec.structs import replace

from bagatelle_service.school.routine_tree import Tree
from bagatelle_service.school.three_way import Chooses, Difference, merge, merged_order

ThreeTrees = tuple[Tree, Tree, Tree]


class MergedRoutine(Struct, frozen=True, kw_only=True):
    """What came of the three."""

    tree: Tree
    differences: tuple[Difference, ...]


def merge_routines(base: Tree, own: Tree, new: Tree, takes_new: Chooses) -> MergedRoutine:
    """Bring together what a copy and its origin made of a routine since it was copied.

    :param base: the origin as it was when the copy took it over.
    :param own: the copy.
    :param new: the origin as it is.
    :param takes_new: asked where both changed the same place, by its JSON Pointer.
    """
    three = (base, own, new)
    base_content, own_content, new_content = map(_content, _exercises_joined(three))
    content = merge(base_content, own_content, new_content, takes_new)
    merged = _exercises_parted(content.value)
    told = {difference.path: difference for difference in map(_parted, content.differences)}
    _keep_blocks_in_use(merged, three, told)
    orders = _Orders(three, takes_new)
    merged["order"] = orders.of(merged)
    return MergedRoutine(tree=merged, differences=(*told.values(), *orders.differences))


def _content(tree: Tree) -> Tree:
    return {name: part for name, part in tree.items() if name != "order"}


# Exercises and their settings -----------------------------------------------------------------------------
# Settings are of one exercise. Where a task's exercise is not the same in all three, both are one leaf.

_JOINED = "exercise"


def _exercises_joined(three: ThreeTrees) -> tuple[Tree, ...]:
    keys = {key for tree in three for key in tree["tasks"]}
    changed = {
        key
        for key in keys
        if len({tree["tasks"][key]["exercise"] for tree in three if key in tree["tasks"]}) > 1
    }
    return tuple(
        {
            **tree,
            "tasks": {key: _joined(task) if key in changed else task for key, task in tree["tasks"].items()},
        }
        for tree in three
    )


def _joined(task: dict[str, Any]) -> dict[str, Any]:
    pair = [task["exercise"], task["settings"]]
    return {**{name: part for name, part in task.items() if name != "settings"}, _JOINED: pair}


def _exercises_parted(tree: Tree) -> Tree:
    return {**tree, "tasks": {key: _task_parted(task) for key, task in tree["tasks"].items()}}


def _task_parted(task: dict[str, Any]) -> dict[str, Any]:
    pair = task[_JOINED]
    return {**task, "exercise": pair[0], "settings": pair[1]} if isinstance(pair, list) else task


def _parted(difference: Difference) -> Difference:
    """Show a leaf of both as an object, and a whole task with both apart."""
    match difference.path:
        case ("tasks", _, "exercise"):
            return _shown(difference, _pair_shown)
        case ("tasks", _):
            return _shown(difference, lambda task: task if task is UNSET else _task_parted(task))
    return difference


def _shown(difference: Difference, shown: Any) -> Difference:
    return replace(
        difference, base=shown(difference.base), own=shown(difference.own), new=shown(difference.new)
    )


def _pair_shown(pair: Any) -> Any:
    return {"exercise": pair[0], "settings": pair[1]} if isinstance(pair, list) else pair


# Blocks ---------------------------------------------------------------------------------------------------


def _keep_blocks_in_use(merged: Tree, three: ThreeTrees, told: dict[tuple[str, ...], Difference]) -> None:
    """A block is there where a task stands in it, whoever took it out, and only there."""
    base, own, new = three
    used = {task["block"] for task in merged["tasks"].values()}
    blocks = merged["blocks"]
    for block in sorted(used - blocks.keys()):
        kept = next(tree["blocks"][block] for tree in (own, new, base) if block in tree["blocks"])
        blocks[block] = kept
        _retell(told, block, new_taken=block in new["blocks"] and block not in own["blocks"])
    for block in sorted(blocks.keys() - used):
        del blocks[block]
        _tell_gone(told, block, [tree["blocks"].get(block, UNSET) for tree in three])


def _retell(told: dict[tuple[str, ...], Difference], block: str, *, new_taken: bool) -> None:
    """What was told of a block came otherwise, as its tasks decide: then it is a conflict."""
    path = ("blocks", block)
    if path in told and told[path].new_taken != new_taken:
        told[path] = replace(told[path], fate="conflict", new_taken=new_taken)


def _tell_gone(told: dict[tuple[str, ...], Difference], block: str, three: list[Any]) -> None:
    """A block that both sides emptied together is gone, and what they made of it with it."""
    path = ("blocks", block)
    for within in [each for each in told if each[:2] == path]:
        del told[within]
    base, own, new = three
    told[path] = Difference(path=path, fate="conflict", base=base, own=own, new=new, new_taken=True)


# Orders ---------------------------------------------------------------------------------------------------


class _Orders:
    def __init__(self, three: ThreeTrees, takes_new: Chooses) -> None:
        self._orders = [tree["order"] for tree in three]
        self._takes_new = takes_new
        self.differences: list[Difference] = []

    def of(self, merged: Tree) -> Tree:
        tasks, blocks = merged["tasks"], merged["blocks"]
        in_block: dict[str, set[str]] = {block: set() for block in blocks}
        for key, task in tasks.items():
            in_block[task["block"]].add(key)
        return {
            "blocks": self._order(blocks, "blocks"),
            "tasks": {block: self._order(in_block[block], "tasks", block) for block in blocks},
            "passages": {key: self._order(task["passages"], "passages", key) for key, task in tasks.items()},
        }

    def _order(self, members: Iterable[str], *path: str) -> list[str]:
        base, own, new = self._three(*path)
        merged = merged_order((base, own, new), set(members), ("order", *path), self._takes_new)
        if merged.difference is not None:
            self.differences.append(merged.difference)
        return list(merged.names)

    def _three(self, what: str, name: str | None = None) -> Iterator[list[str]]:
        for orders in self._orders:
            yield orders[what] if name is None else orders[what].get(name, [])
