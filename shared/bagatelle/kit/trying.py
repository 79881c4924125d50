"""Try one exercise with many settings, and hold what comes to the rules."""

import hashlib
from collections.abc import Mapping
from typing import Any, Final

from msgspec import Struct

from bagatelle.catalogue.faults import Fault, RefusedError, raised
from bagatelle.catalogue.material_rules import ask_for_material, checked_material
from bagatelle.catalogue.plugin import LoadedPlugin
from bagatelle.kit.grouping import FaultsBySettings
from bagatelle.kit.lengths import length_faults
from bagatelle.kit.said import refusal_faults, wording_faults
from bagatelle.kit.sampling import canonical, sampled_settings
from bagatelle.kit.watching import Watching
from bagatelle.model.exercise import Exercise, Material
from bagatelle.wording.render import Wording

_PER_SETTINGS: Final = ("settings", "repeatability", "lengths", "wording")


class Answer(Struct, frozen=True):
    """What came for some settings: material, a refusal, or faults in place of both."""

    material: Material | None = None
    refusal: str | None = None
    faults: tuple[Fault, ...] = ()


class Trial(Struct, frozen=True):
    """What came of trying an exercise."""

    faults: Mapping[str, list[Fault]]
    """By check."""
    digest: str
    """The SHA-256 of all answers."""
    settings_tried: int
    material: Material | None
    """By default."""


def try_exercise(exercise: Exercise, plugin: LoadedPlugin, wording: Wording, watching: Watching) -> Trial:
    """Ask for the material of every sampled setting, twice each.

    :param watching: watches the plugin while it is asked.
    """
    found = {check: FaultsBySettings(exercise.id, exercise.defaults) for check in _PER_SETTINGS}
    digest = hashlib.sha256()
    tried = sampled_settings(exercise, plugin.settings[exercise.id])
    by_default = None
    for settings in tried:
        with watching(f"bagatelle_material of {exercise.id}"):
            first, second = (_asked(exercise, plugin, settings) for _ in range(2))
        digest.update(canonical(first))
        if first != second:
            reason = "two calls with the same settings gave two answers"
            found["repeatability"].add([Fault(exercise.id, reason)], settings)
        found["settings"].add(first.faults, settings)
        if first.refusal is not None:
            found["wording"].add(refusal_faults(exercise.id, first.refusal), settings)
        if first.material is not None:
            by_default = by_default or first.material
            found["lengths"].add(length_faults(exercise.id, first.material), settings)
            found["wording"].add(wording_faults(exercise, first.material, wording), settings)
    listed = {check: faults.listed() for check, faults in found.items()}
    return Trial(listed, digest.hexdigest(), len(tried), by_default)


def _asked(exercise: Exercise, plugin: LoadedPlugin, settings: Mapping[str, Any]) -> Answer:
    try:
        answer = ask_for_material(plugin.hooks, exercise.id, canonical(settings))
    except ValueError as error:
        return Answer(refusal=str(error))
    except (Exception, SystemExit) as error:
        return Answer(faults=(raised(f"bagatelle_material of {exercise.id}", error),))
    try:
        return Answer(material=checked_material(exercise.id, answer))
    except RefusedError as error:
        return Answer(faults=error.faults)
