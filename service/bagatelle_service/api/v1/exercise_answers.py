"""What the catalogue's operations answer, and how it is put together from the plugins' data."""

from collections.abc import Mapping
from typing import Annotated, Any

from bagatelle.catalogue import Instruments, PluginReport
from bagatelle.catalogue.search import FoundExercise
from bagatelle.engine.steps import duration
from bagatelle.engine.timing import time_of
from bagatelle.model.exercise import Exercise, Instrument, Material, Source, Unit
from bagatelle.model.plan import PluginVersion
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import (
    Area,
    Concreteness,
    Divisibility,
    Level,
    Loudness,
    SorePlace,
    Stage,
    Strain,
)
from bagatelle.wording.counts import number_in_words
from msgspec import Meta, Struct
from msgspec.structs import asdict

from bagatelle_service.plugin_watch import PluginAtWork, PluginWatch

Works = Annotated[
    tuple[SorePlace, ...] | None,
    Meta(
        description="What of the body it works, where the catalogue names it: it is left alone while that is sore."
    ),
]
Next = Annotated[str | None, Meta(description="Where the next page is; null on the last.")]


class InstrumentAnswer(Struct, frozen=True, kw_only=True):
    """An instrument."""

    id: str
    name: str
    family: str
    exercise_count: int


class InstrumentsAnswer(Struct, frozen=True, kw_only=True):
    """The instruments of all loaded plugins."""

    instruments: tuple[InstrumentAnswer, ...]
    next: Next = None


class PluginAnswer(PluginReport, frozen=True, kw_only=True):
    """A plugin that was found or allowed by name, what became of it, and how it does."""

    at_work: Annotated[
        PluginAtWork | None,
        Meta(description="How it has done since the service began; null where not loaded."),
    ]


class PluginsAnswer(Struct, frozen=True, kw_only=True):
    """The plugins that were found, loaded or left out."""

    plugins: tuple[PluginAnswer, ...]
    next: Next = None


class ExerciseInShort(Struct, frozen=True, kw_only=True):
    """An exercise as a list shows it."""

    id: str
    version: int
    instrument: str
    title: str
    area: Area
    level: Level
    strain: Strain
    loudness: Loudness
    needs_instrument: bool
    concreteness: Concreteness
    divisibility: Divisibility
    stage_hint: Stage
    has_soft_form: bool
    usual_minutes: float
    longest_unit_seconds: Annotated[int, Meta(description="Of the units that the defaults make.")]


Counts = Annotated[Mapping[str, int], Meta(description="By value, how many exercises.")]


class ExerciseCounts(Struct, frozen=True, kw_only=True):
    """Of each filter, how many exercises have each value and pass all *other* filters that were given."""

    instrument: Counts
    area: Counts
    level: Counts
    stage_hint: Counts
    strain: Counts
    loudness: Counts
    concreteness: Counts
    divisibility: Counts
    needs_instrument: Counts
    has_soft_form: Counts
    longest_unit_seconds: Annotated[
        Mapping[str, int], Meta(description="By seconds, how many exercises have no longer unit.")
    ]


class ExercisesAnswer(Struct, frozen=True, kw_only=True):
    """A page of exercises."""

    exercises: tuple[ExerciseInShort, ...]
    next: Next = None
    matching: Annotated[int, Meta(description="How many exercises pass all filters, on all pages.")]
    counts: ExerciseCounts


class TextsAnswer(Struct, frozen=True, kw_only=True):
    """What an exercise says, with the units of its defaults filled in."""

    what: str
    how: str
    how_much: str
    done_when: str


class SoftFormAnswer(Struct, frozen=True, kw_only=True):
    """The form of an exercise for thin walls or for a day without the instrument."""

    strain: Strain
    loudness: Loudness
    needs_instrument: bool
    works: Works
    texts: TextsAnswer


class UnitAnswer(Struct, frozen=True, kw_only=True):
    """One unit that the defaults make."""

    id: str
    label: str
    detail: Annotated[
        str | None, Meta(description="What the hands need for this unit alone, such as a fingering.")
    ]
    seconds: Annotated[int, Meta(description="Passes and pauses, rounded up to a whole second once.")]
    music_seconds: Annotated[float, Meta(description="The notes alone, to the millisecond.")]


class ExerciseAnswer(ExerciseInShort, frozen=True, kw_only=True):
    """An exercise, whole."""

    plugin: PluginVersion
    smallest_chunk_seconds: int
    set_up_seconds: int
    daily_cap_seconds: int | None
    cadence_days: int | None
    widest_interval_semitones: int | None
    warm_up_stand_in: bool
    works: Works
    soft_form: SoftFormAnswer | None
    cautions: tuple[str, ...]
    texts: TextsAnswer
    settings_schema: Annotated[Mapping[str, Any], Meta(description="JSON Schema 2020-12 of `settings`.")]
    defaults: Annotated[Mapping[str, Any], Meta(description="A value for every setting.")]
    units: tuple[UnitAnswer, ...]
    sources: tuple[Source, ...]


def instrument_answer(instrument: Instrument, instruments: Instruments, locale: str) -> InstrumentAnswer:
    """Describe an instrument in a locale."""
    return InstrumentAnswer(
        id=instrument.id,
        name=instruments.wording.render(Message(f"{instrument.id}.name"), locale),
        family=instrument.family,
        exercise_count=len(instrument.exercises),
    )


def plugin_answer(report: PluginReport, watch: PluginWatch) -> PluginAnswer:
    """Say what became of a plugin, and how it does."""
    at_work = watch.at_work(report.name) if report.status == "loaded" else None
    return PluginAnswer(**asdict(report), at_work=at_work)


def exercise_in_short(found: FoundExercise) -> ExerciseInShort:
    """Describe an exercise that was found, in short."""
    return ExerciseInShort(**_short_fields(found.exercise, found.title, found.longest_unit_seconds))


def whole_exercise(exercise: Exercise, instruments: Instruments, locale: str) -> ExerciseAnswer:
    """Describe an exercise in a locale, whole.

    :raises PluginError: where its plugin cannot say what the defaults make of it.
    """
    speaker = _Speaker(exercise, instruments, locale)
    units = tuple(speaker.unit(unit) for unit in speaker.material.units)
    longest = max(unit.seconds for unit in units)
    return ExerciseAnswer(
        **_short_fields(exercise, speaker.say(f"{exercise.id}.title"), longest),
        plugin=instruments.plugin_of(exercise.id),
        smallest_chunk_seconds=exercise.smallest_chunk_seconds,
        set_up_seconds=exercise.set_up_seconds,
        daily_cap_seconds=exercise.daily_cap_seconds,
        cadence_days=exercise.cadence_days,
        widest_interval_semitones=exercise.widest_interval_semitones,
        warm_up_stand_in=exercise.warm_up_stand_in,
        works=exercise.works,
        soft_form=_soft_form(exercise, speaker),
        cautions=tuple(speaker.say(caution) for caution in exercise.cautions),
        texts=speaker.texts(),
        settings_schema=exercise.settings_schema,
        defaults=exercise.defaults,
        units=units,
        sources=exercise.sources,
    )


def _soft_form(exercise: Exercise, speaker: "_Speaker") -> SoftFormAnswer | None:
    form = exercise.soft_form
    if form is None:
        return None
    return SoftFormAnswer(
        strain=form.strain,
        loudness=form.loudness,
        needs_instrument=form.needs_instrument,
        works=form.works,
        texts=speaker.texts(".soft"),
    )


def _short_fields(exercise: Exercise, title: str, longest_unit_seconds: int) -> dict[str, Any]:
    own = {
        "instrument": exercise.id.partition(".")[0],
        "title": title,
        "has_soft_form": exercise.soft_form is not None,
        "longest_unit_seconds": longest_unit_seconds,
    }
    return {
        name: getattr(exercise, name) for name in ExerciseInShort.__struct_fields__ if name not in own
    } | own


class _Speaker:
    """Puts the texts of one exercise into words, for what its defaults make of it, each unit once."""

    def __init__(self, exercise: Exercise, instruments: Instruments, locale: str) -> None:
        self._id = exercise.id
        self._wording = instruments.wording
        self._locale = locale
        self.material: Material = instruments.material(exercise.id, exercise.defaults)
        self._parameters = _parameters(self.material)

    def say(self, message: str) -> str:
        return self._wording.render(Message(message, self._parameters), self._locale)

    def texts(self, form: str = "") -> TextsAnswer:
        """Give the texts of a form; one that it lacks is that of the usual form."""
        parts = {}
        for part in TextsAnswer.__struct_fields__:
            own = f"{self._id}{form}.{part}"
            parts[part] = self.say(own if self._wording.has(own, self._locale) else f"{self._id}.{part}")
        return TextsAnswer(**parts)

    def unit(self, unit: Unit) -> UnitAnswer:
        time = time_of(unit.timing)
        return UnitAnswer(
            id=unit.id,
            label=self._wording.render(unit.label, self._locale),
            detail=None if unit.detail is None else self._wording.render(unit.detail, self._locale),
            seconds=time.seconds,
            music_seconds=time.music_seconds,
        )


def _parameters(material: Material) -> Mapping[str, Value]:
    seconds = sum(time_of(unit.timing).seconds for unit in material.units)
    return {
        **material.parameters,
        "units": tuple(unit.label for unit in material.units),
        "unit_count": len(material.units),
        "unit_count_in_words": number_in_words(len(material.units)),
        "passes_of_units": tuple(unit.label for unit in material.units),
        "duration": duration(seconds),
        "seconds": seconds,
        "minutes": max(1, round(seconds / 60)),
    }
