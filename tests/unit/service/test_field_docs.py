"""Docstrings below fields become descriptions."""

from bagatelle.model.plan import Step
from bagatelle.model.request import Task, Window
from bagatelle_service.api.field_docs import add_field_descriptions, field_descriptions
from bagatelle_service.api.v1.exercise_answers import ExerciseAnswer
from msgspec.json import schema_components


def test_they_are_read_from_the_source() -> None:
    assert field_descriptions(Window) == {
        "starts_at": "Wall-clock time, `HH:MM`; shown again, never computed with."
    }
    assert "area" not in field_descriptions(Task)


def test_those_of_structures_inside_are_found_too() -> None:
    _, components = schema_components([tuple[Step, ...]], ref_template="#/{name}")
    add_field_descriptions(components, [tuple[Step, ...]])
    assert components["Step"]["properties"]["window"]["description"] == "Position in `windows`, from 0."


def test_a_description_that_is_there_is_kept() -> None:
    _, components = schema_components([ExerciseAnswer], ref_template="#/{name}")
    before = components["ExerciseAnswer"]["properties"]["defaults"]["description"]
    add_field_descriptions(components, [ExerciseAnswer])
    assert components["ExerciseAnswer"]["properties"]["defaults"]["description"] == before
