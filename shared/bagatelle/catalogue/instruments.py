"""All instruments that were loaded, indexed: what the engine and the service ask for."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final

import msgspec

from bagatelle.catalogue.families import ordinary_family
from bagatelle.catalogue.faults import RefusedError
from bagatelle.catalogue.material_rules import ask_for_material, checked_material
from bagatelle.catalogue.plugin import LoadedPlugin, PluginReport
from bagatelle.catalogue.title_index import TitleIndex
from bagatelle.model.errors import FieldError, InvalidInputError, PluginError, UnknownExerciseError
from bagatelle.model.exercise import Exercise, Family, Instrument, Material, OwnTaskProposal, Texts
from bagatelle.model.plan import PluginVersion
from bagatelle.model.vocabulary import Area
from bagatelle.wording.render import Wording, engine_texts

MATERIAL_CACHE_SIZE: Final = 4096
_TITLE_INDEX_CACHE_SIZE: Final = 64


class Instruments:
    """The loaded instruments and their exercises. Nothing of it changes after it was made."""

    def __init__(self, loaded: tuple[LoadedPlugin, ...], plugins: tuple[PluginReport, ...]) -> None:
        """Index plugins that were examined before, no id among them twice.

        :param loaded: the plugins to use.
        :param plugins: reports of all that were found, those left out too.
        """
        self.plugins = plugins
        self.instruments: tuple[Instrument, ...] = tuple(
            instrument for plugin in loaded for instrument in plugin.instruments
        )
        self.exercises: tuple[Exercise, ...] = tuple(
            exercise for instrument in self.instruments for exercise in instrument.exercises
        )
        self.wording = Wording((*engine_texts(), *(entry for plugin in loaded for entry in plugin.texts)))
        self._instruments = {instrument.id: instrument for instrument in self.instruments}
        self._exercises = {exercise.id: exercise for exercise in self.exercises}
        self._owners = {identifier: plugin for plugin in loaded for identifier in plugin.settings}
        self._versions = {
            plugin.name: PluginVersion(name=plugin.name, version=plugin.version, hash=plugin.hash)
            for plugin in loaded
        }
        self._texts = {plugin.name: plugin.texts for plugin in loaded}
        # A pure function of its arguments, and a day's routines ask for the same things again and again.
        self._material = lru_cache(MATERIAL_CACHE_SIZE)(self._asked_material)
        self._title_index = lru_cache(_TITLE_INDEX_CACHE_SIZE)(self._made_title_index)

    @classmethod
    def none(cls) -> "Instruments":
        """Return no instruments at all: every task is the learner's own."""
        return cls((), ())

    def instrument(self, identifier: str) -> Instrument | None:
        """Return an instrument, or None where no plugin brought it."""
        return self._instruments.get(identifier)

    def has(self, exercise: str) -> bool:
        """Say whether a loaded catalogue has an exercise of that id."""
        return exercise in self._exercises

    def exercise(self, identifier: str) -> Exercise:
        """Return an exercise.

        :raises UnknownExerciseError: where no loaded catalogue has it.
        """
        try:
            return self._exercises[identifier]
        except KeyError:
            raise UnknownExerciseError(identifier) from None

    def complete_settings(self, exercise: str, settings: Mapping[str, Any]) -> dict[str, Any]:
        """Complete the settings given with the defaults of the others.

        :raises UnknownExerciseError: where no loaded catalogue has the exercise.
        """
        return {**self.exercise(exercise).defaults, **settings}

    def settings_errors(
        self, exercise: str, settings: Mapping[str, Any], pointer: str = ""
    ) -> tuple[FieldError, ...]:
        """Return every wrong field of the settings given, which need not be complete.

        :param pointer: where the settings stand in what was sent.
        :raises UnknownExerciseError: where no loaded catalogue has the exercise.
        """
        complete = self.complete_settings(exercise, settings)
        return self._owners[exercise].settings[exercise].wrong_fields(complete, pointer)

    def material(self, exercise: str, settings: Mapping[str, Any], pointer: str = "") -> Material:
        """Return what complete, valid settings make of an exercise.

        :param settings: a value for every setting, found valid before.
        :param pointer: where the settings stand in what was sent.
        :raises UnknownExerciseError: where no loaded catalogue has the exercise.
        :raises InvalidInputError: where the settings do not go together.
        :raises PluginError: where the plugin raised anything else or its answer is wrong.
        """
        try:
            return self._material(exercise, msgspec.json.encode(settings, order="sorted"))
        except SettingsConflictError as conflict:
            raise InvalidInputError((FieldError(pointer=pointer, message=str(conflict)),)) from conflict

    def plugin_of(self, exercise: str) -> PluginVersion:
        """Return the plugin that an exercise belongs to.

        :raises UnknownExerciseError: where no loaded catalogue has the exercise.
        """
        return self._versions[self._owner(exercise).name]

    def texts_of(self, plugin: str) -> tuple[Texts, ...]:
        """Return the texts of a loaded plugin as it gave them; none where no such plugin is loaded."""
        return self._texts.get(plugin, ())

    def family(self, identifier: str | None) -> Family:
        """Return the family of an instrument, by a plugin's word or by its ordinary name; else none."""
        if identifier is None:
            return "none"
        known = self._instruments.get(identifier)
        return known.family if known is not None else ordinary_family(identifier) or "none"

    def stand_in(self, instrument: str) -> Exercise | None:
        """Return the two-minute warm-up that stands in where none of the routine's fits."""
        known = self._instruments.get(instrument)
        exercises = known.exercises if known else ()
        return next((exercise for exercise in exercises if exercise.warm_up_stand_in), None)

    def proposal(self, instrument: str | None, area: Area) -> OwnTaskProposal | None:
        """Return what an instrument proposes for a learner's own task of an area."""
        known = self._instruments.get(instrument) if instrument is not None else None
        proposals = known.proposals if known else ()
        return next((proposal for proposal in proposals if proposal.area == area), None)

    def title_index(self, instrument: str, locale: str) -> TitleIndex:
        """Return the names of an instrument's exercises in a locale, to look titles up in."""
        return self._title_index(instrument, self.wording.spoken(locale))

    def _made_title_index(self, instrument: str, locale: str) -> TitleIndex:
        known = self._instruments.get(instrument)
        return TitleIndex(known.exercises if known else (), self.wording, locale)

    def _owner(self, exercise: str) -> LoadedPlugin:
        try:
            return self._owners[exercise]
        except KeyError:
            raise UnknownExerciseError(exercise) from None

    def _asked_material(self, exercise: str, settings: bytes) -> Material:
        plugin = self._owner(exercise)
        try:
            answer = ask_for_material(plugin.hooks, exercise, settings)
        except ValueError as error:
            raise SettingsConflictError(str(error) or "these settings do not go together") from error
        except (Exception, SystemExit) as error:
            reason = f"raised {type(error).__name__}: {error}"
            raise PluginError(plugin.name, "bagatelle_material", exercise, reason) from error
        try:
            return checked_material(exercise, answer)
        except RefusedError as error:
            raise PluginError(plugin.name, "bagatelle_material", exercise, str(error)) from error


class SettingsConflictError(Exception):
    """A plugin said that settings, valid one by one, do not go together."""
