"""Try one exercise with many settings, and hold what comes to the rules."""

import hashlib
from collections.abc import Mapping
from typing import Any, Final

from msgspec import Struct

from bagatelle.catalogue.faults import Fault, RefusedError, raised, said_by
from bagatelle.catalogue.material_rules import ask_for_material, checked_material
from bagatelle.catalogue.plugin import LoadedPlugin
from bagatelle.kit.announcing import RaisedAt, Step, Tell
from bagatelle.kit.grouping import FaultsBySettings
from bagatelle.kit.lengths import length_faults
from bagatelle.kit.own_files import is_meant
from bagatelle.kit.said import refusal_faults, wording_faults
from bagatelle.kit.sampling import canonical, sampled_settings, untried_settings
from bagatelle.kit.watching import MATERIAL
from bagatelle.model.exercise import Exercise, Material
from bagatelle.wording.render import Wording

_PER_SETTINGS: Final = ("settings", "repeatability", "lengths", "wording")


_UNTRIED: Final = (
    "was tried with nothing but its default, as no other value was found that its schema accepts "
    "(accepted: some under `examples` in its schema)"
)


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


class Trying:
    """How exercises are tried."""

    def __init__(self, tell: Tell, raised_at: RaisedAt, *, backwards: bool) -> None:
        """Begin.

        :param tell: is told before settings are chosen.
        :param raised_at: knows where the plugin raised.
        :param backwards: whether to ask for the last settings first.
        """
        self.backwards = backwards
        self._tell = tell
        self._raised_at = raised_at

    def exercise(self, exercise: Exercise, plugin: LoadedPlugin, wording: Wording) -> Trial:
        """Ask for the material of every sampled setting, twice each."""
        self._tell(Step(f"choosing settings for {exercise.id}"))
        tried = sampled_settings(exercise, plugin.settings[exercise.id])
        found = {check: FaultsBySettings(exercise.id, exercise.defaults) for check in _PER_SETTINGS}
        digests: list[bytes] = []
        by_default = None
        for settings in reversed(tried) if self.backwards else tried:
            first, second = (self._asked(exercise, plugin, settings) for _ in range(2))
            digests.append(_digest(first))
            if digests[-1] != _digest(second):
                reason = "two calls with the same settings gave two answers"
                found["repeatability"].add([Fault(exercise.id, reason)], settings)
            found["settings"].add(first.faults, settings)
            if first.refusal is not None:
                found["wording"].add(refusal_faults(exercise.id, first.refusal), settings)
            if first.material is not None:
                by_default = first.material if settings is tried[0] else by_default
                found["lengths"].add(length_faults(exercise.id, first.material), settings)
                found["wording"].add(wording_faults(exercise, first.material, wording), settings)
        listed = {check: faults.listed() for check, faults in found.items()}
        listed["schemas"] = [
            Fault(exercise.id, f"the setting {name!r} {_UNTRIED}")
            for name in untried_settings(exercise, tried)
        ]
        in_order = reversed(digests) if self.backwards else digests
        return Trial(listed, hashlib.sha256(b"".join(in_order)).hexdigest(), len(tried), by_default)

    def _asked(self, exercise: Exercise, plugin: LoadedPlugin, settings: Mapping[str, Any]) -> Answer:
        hook = f"{MATERIAL}{exercise.id}"
        try:
            answer = ask_for_material(plugin.hooks, exercise.id, canonical(settings))
        except ValueError as error:
            refusal = said_by(error)
            if refusal is not None and is_meant(error):
                return Answer(refusal=refusal)
            return Answer(faults=(self._raised_at.placed(raised(hook, error)),))
        except (Exception, SystemExit) as error:
            return Answer(faults=(self._raised_at.placed(raised(hook, error)),))
        try:
            return Answer(material=checked_material(exercise.id, answer))
        except RefusedError as error:
            return Answer(faults=error.faults)


def _digest(answer: Answer) -> bytes:
    """The SHA-256 of what came; of a fault only that it came, as Python words some of its errors now so, now so."""
    what = canonical(Answer(material=answer.material, refusal=answer.refusal))
    return hashlib.sha256(what + bool(answer.faults).to_bytes(1, "big")).digest()
