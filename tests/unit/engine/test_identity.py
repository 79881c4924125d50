"""Ids made from titles, the same in whatever order tasks were listed."""

import pytest
from bagatelle.engine.identity import block_ids, slug_of, task_ids
from bagatelle.model.request import Block, Task


@pytest.mark.parametrize(
    ("title", "slug"),
    [
        ("Sonata in D", "sonata-in-d"),
        ("Étude n° 3!", "etude-n-3"),
        ("  --  ", "untitled"),
        ("音階", "untitled"),
        ("x" * 60, "x" * 48),
    ],
)
def test_slug(title: str, slug: str) -> None:
    assert slug_of(title) == slug


def test_given_ids_are_kept_and_not_used_twice() -> None:
    tasks = [Task(title="Scales"), Task(id="scales", title="Other"), Task(title="Scales")]
    assert task_ids(tasks) == ["scales-2", "scales", "scales-3"]


def test_the_same_task_gets_the_same_id_wherever_it_is_listed() -> None:
    tasks = [Task(title="Scales", minutes=5), Task(title="Scales", minutes=9), Task(exercise="piano.trill")]
    forwards = dict(zip(map(repr, tasks), task_ids(tasks), strict=True))
    backwards = dict(zip(map(repr, tasks[::-1]), task_ids(tasks[::-1]), strict=True))
    assert forwards == backwards
    assert sorted(forwards.values()) == ["piano-trill", "scales", "scales-2"]


def test_blocks_of_one_title_keep_their_order() -> None:
    assert block_ids([Block(title="Evening"), Block(title="Evening")]) == ["evening", "evening-2"]
