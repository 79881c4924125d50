"""All instruments that were loaded, indexed: what the engine and the service ask for."""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property, lru_cache
from typing import Any, Final

import msgspec

from bagatelle.catalogue.families import ordinary_family
from bagatelle.catalogue.faults import RefusedError, described, said_by
from bagatelle.catalogue.guard import Guard, HookCall, unguarded
from bagatelle.catalogue.known_words import KnownWords
from bagatelle.catalogue.material_rules import ask_for_material, checked_material
from bagatelle.catalogue.nearest import nearest_change
from bagatelle.catalogue.pitch_range import EVERY_PITCH, PitchRange, range_of_instrument
from bagatelle.catalogue.plugin import LoadedPlugin, PluginReport
from bagatelle.catalogue.search import ExerciseSearch
from bagatelle.catalogue.title_index import TitleIndex
from bagatelle.model.errors import (
    FailureKind,
    FieldError,
    InvalidInputError,
    PluginError,
    UnknownExerciseError,
)
from bagatelle.model.exercise import Exercise, Family, Instrument, Material, OwnTaskProposal, Texts
from bagatelle.model.plan import PluginVersion
from bagatelle.model.vocabulary import Area
from bagatelle.wording.render import Wording, engine_texts

MATERIAL_CACHE_SIZE: Final = 4096
_TITLE_INDEX_CACHE_SIZE: Final = 64
_MATERIAL_HOOK: Final = "bagatelle_material"
_LONGEST_CONFLICT: Final = 1000
"""In characters; nobody reads more of what a plugin says about settings."""
_NO_WORDS: Final = "these settings do not go together"


class Instruments:
    """The loaded instruments and their exercises. Nothing of it changes after it was made."""

    def __init__(
        self,
        loaded: tuple[LoadedPlugin, ...],
        plugins: tuple[PluginReport, ...],
        guard: Guard = unguarded,
        wording: Wording | None = None,
    ) -> None:
        """Index plugins that were examined before, no id among them twice.

        :param loaded: the plugins to use.
        :param plugins: reports of all that were found, those left out too.
        :param guard: what stands between requests and plugins.
        :param wording: all their texts, where they were parsed before.
        """
        self.plugins = plugins
        self._loaded = loaded
        self._guard = guard
        self.instruments: tuple[Instrument, ...] = tuple(
            instrument for plugin in loaded for instrument in plugin.instruments
        )
        self.exercises: tuple[Exercise, ...] = tuple(
            exercise for instrument in self.instruments for exercise in instrument.exercises
        )
        self.wording = wording or Wording(
            (*engine_texts(), *(entry for plugin in loaded for entry in plugin.texts))
        )
        self._known_words = KnownWords(self.wording)
        self._instruments = {instrument.id: instrument for instrument in self.instruments}
        self._exercises = {exercise.id: exercise for exercise in self.exercises}
        self._ranges = {
            exercise.id: range_of_instrument(instrument)
            for instrument in self.instruments
            for exercise in instrument.exercises
        }
        self._owners = {identifier: plugin for plugin in loaded for identifier in plugin.settings}
        self._versions = {
            plugin.name: PluginVersion(name=plugin.name, version=plugin.version, hash=plugin.hash)
            for plugin in loaded
        }
        self._texts = {plugin.name: plugin.texts for plugin in loaded}
        # A pure function of its arguments, and a day's routines ask for the same things again and again.
        self._material = lru_cache(MATERIAL_CACHE_SIZE)(self._guarded_material)
        self._of_defaults = {
            (identifier, msgspec.json.encode(self._exercises[identifier].defaults, order="sorted")): material
            for plugin in loaded
            for identifier, material in plugin.materials.items()
        }
        self._title_index = lru_cache(_TITLE_INDEX_CACHE_SIZE)(self._made_title_index)

    @classmethod
    def none(cls) -> "Instruments":
        """Return no instruments at all: every task is the learner's own."""
        return cls((), ())

    def guarded_by(self, guard: Guard) -> "Instruments":
        """Return the same instruments, with a guard between requests and plugins, and no answers kept so far."""
        return Instruments(self._loaded, self.plugins, guard, self.wording)

    def joined_with(self, plugins: Iterable[LoadedPlugin], reports: Iterable[PluginReport]) -> "Instruments":
        """Return these instruments and others, no id among them twice.

        :param plugins: those that join. No guard stands before them: they have no code of their own.
        :param reports: of them, and of those that were to join and were left out.
        """
        joining = tuple(plugins)
        unguarded_names = frozenset(plugin.name for plugin in joining)

        def guard(call: HookCall, ask: Callable[[], Material]) -> Material:
            return ask() if call.plugin in unguarded_names else self._guard(call, ask)

        return Instruments((*self._loaded, *joining), (*self.plugins, *reports), guard)

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

    def material(
        self,
        exercise: str,
        settings: Mapping[str, Any],
        pointer: str = "",
        learner: PitchRange = EVERY_PITCH,
    ) -> Material:
        """Return what complete, valid settings make of an exercise.

        What the defaults make of it is known from the load; a plugin is asked about other settings alone.

        :param settings: a value for every setting, found valid before.
        :param pointer: where the settings stand in what was sent.
        :param learner: what the learner wants to use of the instrument's range.
        :raises UnknownExerciseError: where no loaded catalogue has the exercise.
        :raises InvalidInputError: where the settings do not go together, or take a unit out of the range of the
            instrument or of the learner; says the nearest that would do.
        :raises PluginError: where the plugin raised anything else, its answer is wrong, or the guard says so.
        """
        try:
            return self._fitting_material(exercise, settings, learner)
        except SettingsConflictError as conflict:
            wrong = FieldError(
                pointer=pointer, message=str(conflict), accepted=self._nearest(exercise, settings, learner)
            )
            raise InvalidInputError((wrong,)) from conflict

    def _fitting_material(self, exercise: str, settings: Mapping[str, Any], learner: PitchRange) -> Material:
        canonical = msgspec.json.encode(settings, order="sorted")
        material = self._of_defaults.get((exercise, canonical)) or self._material(exercise, canonical)
        fault = self._ranges[exercise].within(learner).fault(material)
        if fault is not None:
            raise SettingsConflictError(fault)
        return material

    def _nearest(self, exercise: str, settings: Mapping[str, Any], learner: PitchRange) -> str:
        """Say which change of one setting would do."""
        schema = self._owner(exercise).settings[exercise]

        def fits(changed: Mapping[str, Any]) -> bool:
            if not schema.accepts(changed):
                return False
            try:
                self._fitting_material(exercise, changed, learner)
            except SettingsConflictError:
                return False
            return True

        change = nearest_change(schema.schema, settings, fits)
        if change is None:
            return "other settings; no change of a single one would do"
        return f"the nearest that fits: {change.setting} {_shown(change.value)}"

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

    @cached_property
    def search(self) -> ExerciseSearch:
        """The search of all exercises, made for the first who asks; no plugin is asked anything."""
        return ExerciseSearch(
            self.exercises, self.wording, lambda exercise: self.material(exercise.id, exercise.defaults)
        )

    @property
    def made_search(self) -> ExerciseSearch | None:
        """The search, where somebody has asked for it before."""
        made: ExerciseSearch | None = vars(self).get("search")
        return made

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

    def _guarded_material(self, exercise: str, settings: bytes) -> Material:
        plugin = self._owner(exercise)
        call = HookCall(plugin=plugin.name, hook=_MATERIAL_HOOK, exercise=exercise)
        return self._guard(call, lambda: self._asked_material(plugin, exercise, settings))

    def _asked_material(self, plugin: LoadedPlugin, exercise: str, settings: bytes) -> Material:
        try:
            answer = ask_for_material(plugin.hooks, exercise, settings)
        except KeyboardInterrupt:
            raise
        except ValueError as error:
            raise SettingsConflictError((said_by(error) or _NO_WORDS)[:_LONGEST_CONFLICT]) from error
        except BaseException as error:
            raise _failure(plugin, exercise, f"raised {described(error)}", "raised") from error
        try:
            return self._examined(exercise, answer)
        except KeyboardInterrupt:
            raise
        except RefusedError as error:
            raise _failure(plugin, exercise, str(error), "wrong-answer") from error
        except BaseException as error:  # whatever an object of the plugin's does while it is looked at
            raise _failure(plugin, exercise, f"raised {described(error)}", "wrong-answer") from error

    def _examined(self, exercise: str, answer: object) -> Material:
        material = checked_material(exercise, answer)
        faults = self._known_words.faults_of(self._exercises[exercise], material)
        if faults:
            raise RefusedError(faults)
        return material


def _shown(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _failure(plugin: LoadedPlugin, exercise: str, reason: str, kind: FailureKind) -> PluginError:
    return PluginError(plugin.name, _MATERIAL_HOOK, exercise, reason, kind)


class SettingsConflictError(Exception):
    """A plugin said that settings, valid one by one, do not go together."""
