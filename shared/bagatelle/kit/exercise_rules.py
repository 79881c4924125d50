"""What is asked of an exercise's own facts, beyond what the host refuses."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from bagatelle.accepted import Schema, resolve
from bagatelle.catalogue.faults import Fault
from bagatelle.kit.lengths import exact_seconds
from bagatelle.model.exercise import Exercise, Material
from bagatelle.wording.render import Wording

_STRAIN_ORDER: Final = ("none", "low", "moderate", "high")
_NO_SOURCE: Final = frozenset({"", "none", "-", "n/a", "unknown"})
_SAYS_WHERE: Final = frozenset({"verified", "secondary", "computed"})
_BOUNDS: Final[Mapping[str, tuple[tuple[str, ...], ...]]] = {
    "integer": (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")),
    "number": (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")),
    "string": (("maxLength",),),
    "array": (("maxItems",), ("items",)),
    "object": (("additionalProperties",),),
}
"""By type, what must be said: of each group, one."""
_DEPTH_LIMIT: Final = 6


def schema_faults(exercise: Exercise) -> list[Fault]:
    """Say which settings have no bounds: they could not be tried, and anybody could send the endless."""
    root = exercise.settings_schema
    return [
        Fault(exercise.id, f"the setting {place} {reason}")
        for name, part in root.get("properties", {}).items()
        for place, reason in _unbounded(f"{name!r}", part, root, 0)
    ]


def default_faults(exercise: Exercise, material: Material, wording: Wording) -> list[Fault]:
    """Say what the defaults leave open, or do not keep to."""
    faults = [
        Fault(exercise.id, f"the default of {name!r} is an empty list, so the defaults say nothing to play")
        for name, value in exercise.defaults.items()
        if isinstance(value, list | tuple) and not value
    ]
    if exercise.concreteness == "open":
        faults.append(
            Fault(
                exercise.id, "concreteness is 'open', so the defaults leave it open (accepted: exact, guided)"
            )
        )
    usual_seconds = 60 * exercise.usual_minutes
    if exercise.smallest_chunk_seconds > usual_seconds:
        faults.append(
            Fault(exercise.id, f"smallest_chunk_seconds is longer than the usual {usual_seconds:g} seconds")
        )
    for unit in material.units:
        if exact_seconds(unit.timing) > usual_seconds:
            reason = f"lasts longer by default than the exercise usually does ({usual_seconds:g} seconds)"
            faults.append(Fault(f"{exercise.id}, unit {unit.id!r}", reason))
    labels = Counter(wording.render(unit.label, "en") for unit in material.units)
    faults += [
        Fault(exercise.id, f"{count} units are called {label!r}, so nobody could tell which")
        for label, count in labels.items()
        if count > 1
    ]
    return faults


def strain_faults(exercise: Exercise) -> list[Fault]:
    """Say where strain, its daily cap and its cautions do not go together."""
    reasons = []
    cap = exercise.daily_cap_seconds
    if cap is not None and cap < exercise.smallest_chunk_seconds:
        reasons.append(f"daily_cap_seconds of {cap} is less than its smallest chunk, so no day could hold it")
    soft = exercise.soft_form
    if soft is not None and _STRAIN_ORDER.index(soft.strain) > _STRAIN_ORDER.index(exercise.strain):
        reasons.append(f"its soft form strains more ({soft.strain}) than itself ({exercise.strain})")
    return [Fault(exercise.id, reason) for reason in reasons]


def source_faults(exercise: Exercise) -> list[Fault]:
    """Say which facts have no source, or say of their source what cannot be."""
    reasons = []
    for position, source in enumerate(exercise.sources):
        if not source.fact.strip():
            reasons.append(f"sources, entry {position}: no fact is said")
        nowhere = source.source.strip().lower() in _NO_SOURCE
        if source.status in _SAYS_WHERE and nowhere:
            reasons.append(
                f"sources, entry {position}: the fact is {source.status!r} and its source is {source.source!r} "
                "(accepted: where it stands; or the status 'from memory' or 'common practice, no source')"
            )
        elif not source.source.strip():
            reasons.append(f"sources, entry {position}: the source is empty")
    return [Fault(exercise.id, reason) for reason in reasons]


def _unbounded(place: str, schema: object, root: Schema, depth: int) -> Iterator[tuple[str, str]]:
    if not isinstance(schema, Mapping) or depth > _DEPTH_LIMIT:
        yield place, "accepts anything"
    elif "$ref" in schema:
        yield from _unbounded(place, resolve(schema["$ref"], root), root, depth + 1)
    elif branches := [branch for keyword in ("anyOf", "oneOf") for branch in schema.get(keyword, ())]:
        for branch in branches:
            yield from _unbounded(place, branch, root, depth + 1)
    elif "enum" not in schema and "const" not in schema:
        yield from _unbounded_kinds(place, schema)
        if "items" in schema:
            yield from _unbounded(f"{place}, its items", schema["items"], root, depth + 1)
        for name, part in schema.get("properties", {}).items():
            yield from _unbounded(f"{place}, its field {name!r}", part, root, depth + 1)


def _unbounded_kinds(place: str, schema: Schema) -> Iterator[tuple[str, str]]:
    kinds = schema.get("type", ())
    if not kinds:
        yield place, "has neither a type nor an enum, so it accepts anything"
    for kind in [kinds] if isinstance(kinds, str) else kinds:
        for names in _BOUNDS.get(kind, ()):
            if not any(name in schema for name in names):
                yield place, f"is of type {kind} and has no {names[0]}"
