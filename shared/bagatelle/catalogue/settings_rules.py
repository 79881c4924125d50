"""Rules for an exercise's settings schema and its defaults."""

from typing import Final

import jsonschema_rs

from bagatelle.accepted import shown
from bagatelle.catalogue.faults import Fault, field_faults
from bagatelle.model.exercise import Exercise
from bagatelle.wrong_fields import CheckedSchema

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def check_settings(exercise: Exercise, faults: list[Fault]) -> CheckedSchema | None:
    """Check schema and defaults; what is wrong goes to `faults`.

    :returns: the compiled schema, or None where anything was wrong.
    """
    found = [*_shape_faults(exercise)]
    try:
        schema = CheckedSchema(exercise.settings_schema)
    except (ValueError, jsonschema_rs.ReferencingError) as error:
        first_line = str(error).partition("\n")[0]
        faults.extend([*found, Fault(exercise.id, f"settings_schema is no valid JSON Schema: {first_line}")])
        return None
    found += field_faults(f"{exercise.id}, defaults", schema.wrong_fields(dict(exercise.defaults)))
    faults.extend(found)
    return None if found else schema


def _shape_faults(exercise: Exercise) -> list[Fault]:
    schema = exercise.settings_schema
    faults = []
    for keyword, wanted in (("type", "object"), ("additionalProperties", False)):
        if schema.get(keyword) != wanted:
            faults.append(
                Fault(
                    exercise.id,
                    f"settings_schema has {keyword} {shown(schema.get(keyword))} (accepted: {shown(wanted)})",
                )
            )
    if schema.get("$schema", DIALECT) != DIALECT:
        faults.append(Fault(exercise.id, f"settings_schema is of another dialect (accepted: {DIALECT})"))
    properties = schema.get("properties", {})
    without = sorted(properties.keys() - exercise.defaults.keys()) if isinstance(properties, dict) else ()
    faults += [Fault(exercise.id, f"defaults have no value for the setting {name!r}") for name in without]
    return faults
