"""A routine and its copy brought together: the laws of a three-way merge."""

from collections import Counter
from typing import Any

import pytest
from bagatelle.model.request import Limits
from bagatelle_service.school.routine_document import RoutineDocument, document_of
from bagatelle_service.school.routine_merge import MergedRoutine, merge_routines
from bagatelle_service.school.routine_tree import Tree, content_of, tree_of
from bagatelle_service.school.three_way import merge, merged_order, same
from hypothesis import given
from hypothesis import strategies as st
from msgspec import UNSET

from tests.property.copied_routines import DOCUMENTS, THREES

Threes = tuple[Tree, Tree, Tree]


def never(_: str) -> bool:
    return False


def always(_: str) -> bool:
    return True


@given(DOCUMENTS)
def test_a_tree_holds_all_of_a_routine(document: RoutineDocument) -> None:
    tree = tree_of(document)
    again = document_of(content_of(tree, document.learner.limits))
    assert again == document
    assert same(tree_of(again), tree)


@given(THREES, st.sampled_from([never, always]))
def test_an_unchanged_copy_becomes_as_its_origin(three: Threes, takes: Any) -> None:
    base, _, new = three
    assert same(merge_routines(base, base, new, takes).tree, new)


@given(THREES, st.sampled_from([never, always]))
def test_an_unchanged_origin_leaves_the_copy(three: Threes, takes: Any) -> None:
    base, own, _ = three
    merged = merge_routines(base, own, base, takes)
    assert same(merged.tree, own)
    assert {difference.fate for difference in merged.differences} <= {"kept"}


@given(THREES, st.sampled_from([never, always]))
def test_taking_twice_changes_nothing(three: Threes, takes: Any) -> None:
    base, own, new = three
    once = merge_routines(base, own, new, takes).tree
    assert same(merge_routines(new, once, new, takes).tree, once)


@given(THREES)
def test_both_made_the_same(three: Threes) -> None:
    base, own, _ = three
    merged = merge_routines(base, own, own, never)
    assert same(merged.tree, own)
    assert {difference.fate for difference in merged.differences} <= {"agreed"}


@given(THREES)
def test_what_comes_out_is_a_routine(three: Threes) -> None:
    merged = merge_routines(*three, never).tree
    if merged["tasks"]:
        assert same(tree_of(document_of(content_of(merged, Limits()))), merged)


@given(THREES)
def test_either_side_first_is_the_same_where_nothing_clashes(three: Threes) -> None:
    base, own, new = three
    one, other = merge_routines(base, own, new, never), merge_routines(base, new, own, never)
    if "conflict" in fates(one):
        return
    for part in ("tasks", "blocks", "instrument", "learner"):
        assert same(one.tree[part], other.tree[part])
    mirrored = {"taken": "kept", "kept": "taken", "agreed": "agreed"}
    assert {each.path: mirrored[each.fate] for each in one.differences} == {
        each.path: each.fate for each in other.differences
    }


def fates(merged: MergedRoutine) -> Counter[str]:
    return Counter(difference.fate for difference in merged.differences)


@given(THREES, st.sampled_from([never, always]))
def test_every_field_is_accounted_for(three: Threes, takes: Any) -> None:
    """Each leaf that is not alike in all three is told once, by itself or by what it stands in."""
    base, own, new = three
    merged = merge_routines(base, own, new, takes)
    told = [difference.path for difference in merged.differences]
    assert len(set(told)) == len(told)
    for path in {path for tree in (base, own, new) for path in leaves(tree)}:
        values = [value_at(tree, path) for tree in (base, own, new)]
        covering = [each for each in told if path[: len(each)] == each]
        covering = covering or [each for each in told if is_pair(each, path)]
        if all(same(value, values[0]) for value in values):
            continue
        assert len(covering) == 1, path


@given(THREES, st.sampled_from([never, always]))
def test_what_is_told_is_what_came_out(three: Threes, takes: Any) -> None:
    base, own, new = three
    merged = merge_routines(base, own, new, takes)
    for told in merged.differences:
        if told.path[:1] == ("order",) or told.path[-1:] == ("exercise",):
            continue
        now = value_at(merged.tree, told.path)
        if told.path[:1] == ("blocks",) and now is UNSET:
            assert told.new_taken or told.own is UNSET  # gone, as no task stands in it
            continue
        assert same(now, told.new if told.new_taken else told.own), told.path


def is_pair(told: tuple[str, ...], path: tuple[str, ...]) -> bool:
    """An exercise that changed is told together with its settings."""
    return told[-1] == "exercise" and path[:3] == (*told[:2], "settings")


def leaves(tree: Any, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    if path == ("order",):
        return []
    if not isinstance(tree, dict):
        return [path]
    return [leaf for name, part in tree.items() for leaf in leaves(part, (*path, name))]


def value_at(tree: Any, path: tuple[str, ...]) -> Any:
    for name in path:
        if not isinstance(tree, dict) or name not in tree:
            return UNSET
        tree = tree[name]
    return tree


# Orders by themselves -------------------------------------------------------------------------------------

ORDERS = st.lists(st.sampled_from("abcdefg"), unique=True)


@given(ORDERS, ORDERS)
def test_an_order_that_one_side_changed_is_that_sides(base: list[str], changed: list[str]) -> None:
    members = set(changed)
    for own, new in ((base, changed), (changed, base)):
        assert list(merged_order((base, own, new), members, (), never).names) == changed


@given(ORDERS, ORDERS, ORDERS, st.sampled_from([never, always]))
def test_each_member_stands_once_in_an_order(
    base: list[str], own: list[str], new: list[str], takes: Any
) -> None:
    members = set(own) | set(new)
    merged = merged_order((base, own, new), members, (), takes)
    assert sorted(merged.names) == sorted(members)
    leading = new if takes is always else own
    if merged.difference is not None and merged.difference.fate == "conflict":
        assert [name for name in merged.names if name in leading] == leading


@pytest.mark.parametrize(
    ("base", "own", "new", "value", "fates"),
    [
        ({"a": 1}, {"a": 2}, {"a": 3}, {"a": 2}, [("/a", "conflict")]),
        ({"a": 1}, {}, {"a": 3}, {}, [("/a", "conflict")]),
        ({"a": 1}, {"a": 2}, {}, {"a": 2}, [("/a", "conflict")]),
        (
            {},
            {"a": {"x": 1}},
            {"a": {"y": 2}},
            {"a": {"x": 1, "y": 2}},
            [("/a/x", "kept"), ("/a/y", "taken")],
        ),
        ({"a": 1}, {"a": 1}, {"a": True}, {"a": True}, [("/a", "taken")]),
        ({"a/b": 1}, {"a/b": 1}, {"a/b": 2}, {"a/b": 2}, [("/a~1b", "taken")]),
    ],
)
def test_a_tree_by_hand(base: Any, own: Any, new: Any, value: Any, fates: list[tuple[str, str]]) -> None:
    merged = merge(base, own, new, never)
    assert same(merged.value, value)
    assert [(each.pointer, each.fate) for each in merged.differences] == fates
