"""What is asked of an exercise's own facts, beyond what the host refuses."""

from collections import Counter
from typing import Final

from bagatelle.catalogue.exercise_bounds import (
    cap_out_of_bounds,
    chunk_out_of_bounds,
    soft_strain_out_of_bounds,
)
from bagatelle.catalogue.faults import Fault
from bagatelle.catalogue.text_rules import LANGUAGE
from bagatelle.kit.lengths import exact_seconds
from bagatelle.model.exercise import Exercise, Material
from bagatelle.wording.render import Wording

_NO_SOURCE: Final = frozenset({"", "none", "-", "n/a", "unknown"})
_SAYS_WHERE: Final = frozenset({"verified", "secondary", "computed"})


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
    if reason := chunk_out_of_bounds(exercise):
        faults.append(Fault(exercise.id, f"smallest_chunk_seconds: {reason}"))
    for unit in material.units:
        if exact_seconds(unit.timing) > usual_seconds:
            reason = f"lasts longer by default than the exercise usually does ({usual_seconds:g} seconds)"
            faults.append(Fault(f"{exercise.id}, unit {unit.id!r}", reason))
    labels = Counter(wording.render(unit.label, LANGUAGE) for unit in material.units)
    faults += [
        Fault(exercise.id, f"{count} units are called {label!r}, so nobody could tell which")
        for label, count in labels.items()
        if count > 1
    ]
    return faults


def strain_faults(exercise: Exercise) -> list[Fault]:
    """Say where strain, its daily cap and its cautions do not go together."""
    soft = exercise.soft_form
    found = {
        "daily_cap_seconds": cap_out_of_bounds(exercise),
        "soft_form": soft and soft_strain_out_of_bounds(exercise, soft.strain),
    }
    return [Fault(exercise.id, f"{field}: {reason}") for field, reason in found.items() if reason]


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
