"""Tasks of one title are told apart by what they play."""

from tests.strategies import plan_of
from tests.unit.engine.numbers import own_task, request


def titles(*tasks: dict[str, object]) -> list[str]:
    return [task.title for task in plan_of(request(*tasks)).tasks]


def scales(name: str, *labels: str) -> dict[str, object]:
    task = own_task(name, *[60] * len(labels)) | {"title": "Scales"}
    for passage, label in zip(task["passages"], labels, strict=True):
        passage["label"] = label
    return task


def test_a_title_of_its_own_stays_as_it_is() -> None:
    assert titles(own_task("waltz", 60), own_task("march", 60)) == ["March", "Waltz"]


def test_one_title_twice_names_the_first_units() -> None:
    assert titles(scales("a", "C"), scales("b", "G", "D")) == ["Scales (C)", "Scales (G, and more)"]


def test_as_many_units_are_named_as_tell_them_apart() -> None:
    found = titles(scales("a", "C", "G"), scales("b", "C", "D", "A"))
    assert found == ["Scales (C and G)", "Scales (C and D, and more)"]


def test_the_same_material_keeps_the_same_title() -> None:
    assert titles(scales("a", "C"), scales("b", "C")) == ["Scales", "Scales"]
