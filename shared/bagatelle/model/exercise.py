"""What a plugin knows: an instrument with its exercises, and the units that settings make of one."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, TypeAlias

from msgspec import Meta, Struct

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

PositiveInt = Annotated[int, Meta(ge=1)]
Positive = Annotated[float, Meta(gt=0)]
Pitch = Annotated[int, Meta(ge=0, le=127)]
"""The number of a pitch as MIDI counts them: C4, middle C, is 60."""


class NoteTiming(
    Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, tag="notes", tag_field="by", gc=False
):
    """`notes / notes_per_beat * 60 / bpm * passes + pause_seconds`: every note holds one slot."""

    notes: PositiveInt
    notes_per_beat: Positive
    bpm: Positive
    passes: PositiveInt = 1
    pause_seconds: Annotated[float, Meta(ge=0)] = 0
    """Pauses between passes and rest that belongs to the set, all together."""


class BarTiming(
    Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, tag="bars", tag_field="by", gc=False
):
    """`bars * beats_per_bar * 60 / bpm * passes + pause_seconds`."""

    bars: Positive
    beats_per_bar: Positive
    bpm: Positive
    passes: PositiveInt = 1
    pause_seconds: Annotated[float, Meta(ge=0)] = 0


class PlainTiming(
    Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, tag="seconds", tag_field="by", gc=False
):
    """A length that follows from no notes: a breathing exercise, a free run-through."""

    seconds: PositiveInt


Timing: TypeAlias = NoteTiming | BarTiming | PlainTiming


class Unit(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The smallest repeatable piece of a task: one key of a scale with its passes, one passage."""

    id: str
    label: Message
    timing: Timing
    detail: Message | None = None
    """What the hands need for this unit alone: its fingering, its sticking."""
    lowest_pitch: Pitch | None = None
    """As written for the instrument; C4, middle C, is 60."""
    highest_pitch: Pitch | None = None


class Material(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What settings make of an exercise: its units in the exercise's own order, and words for its texts."""

    units: tuple[Unit, ...]
    parameters: Mapping[str, Value] = {}
    """What the exercise's texts may name, besides what the engine adds (see `Exercise`)."""
    loudness: Loudness | None = None
    """How loud it is at the ear with these settings, where that is not the exercise's: the same on a pad.

    Nothing else goes by it: strokes up to ff warm nobody up on a pad either.
    """


class Source(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Where a fact of an exercise comes from."""

    fact: str
    source: str
    status: Literal["verified", "secondary", "computed", "from memory", "common practice, no source"]


class SoftForm(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The form of an exercise for thin walls or for a day without the instrument.

    Its texts are `<id>.soft.what`, `.soft.how` and, where they differ, `.soft.how_much` and
    `.soft.done_when`.
    """

    strain: Strain
    loudness: Loudness
    needs_instrument: bool
    works: tuple[SorePlace, ...] | None = None
    """What of the body it works, which is left alone while that is sore; empty where it is done in the head or by
    ear alone. None where nobody says: what the instrument works."""


class Exercise(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One catalogue entry.

    Its texts, by id: `<id>.title`, `<id>.what`, `<id>.how`, `<id>.how_much`, `<id>.done_when`, one for each
    entry of `cautions`, and, if it has other names, `<id>.also_called`, which lists them. Texts may name the
    parameters of its material and these of the engine: `units` (the labels of the dose's units, listed),
    `unit_count` (how many different ones) and `unit_count_in_words`, `passes_of_units` ("three times through",
    or each unit with its own), and of the dose `seconds`, `minutes` and `duration` ("8½ minutes"). Title and
    other names may name none. Settings are not parameters: give what a text needs in `Material`.
    """

    id: Annotated[str, Meta(pattern=r"^[a-z0-9-]+\.[a-z0-9-]+$(?!\n)", max_length=128)]
    version: PositiveInt = 1
    area: Area
    level: Level
    """From which level on it is usually met."""
    stage_hint: Stage = "refining"
    concreteness: Concreteness
    divisibility: Divisibility
    strain: Strain
    loudness: Loudness
    needs_instrument: bool = True
    works: tuple[SorePlace, ...] | None = None
    """What of the body it works. None where nobody says: what the instrument works, if it needs it; else the voice
    where its area is one of those that are said or sung; nothing where it is silent and without strain."""
    usual_minutes: Annotated[float, Meta(gt=0, le=120)]
    smallest_chunk_seconds: PositiveInt
    set_up_seconds: Annotated[int, Meta(ge=0)]
    daily_cap_seconds: PositiveInt | None = None
    """The most of it that one day should hold. High strain must have one."""
    cadence_days: PositiveInt | None = None
    widest_interval_semitones: int | None = None
    details_up_to: Level | None = None
    """The highest level of a learner who is told what stands beside each unit, such as valves and key signatures;
    None where everybody is."""
    cautions: tuple[str, ...] = ()
    """Message ids. High strain must have one."""
    goes_round: bool = True
    """Whether its units may be played again on the same day; what is read at sight is read once."""
    warm_up_stand_in: bool = False
    """Whether this is the two-minute warm-up that stands in where none of the routine's fits."""
    soft_form: SoftForm | None = None
    settings_schema: Mapping[str, Any]
    """JSON Schema 2020-12 of an object; must refuse unknown settings."""
    defaults: Mapping[str, Any]
    """A value for every setting; together they leave no question open."""
    sources: tuple[Source, ...]


class OwnTaskProposal(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What to propose to a learner whose own task of this area leaves questions open. Message ids."""

    area: Area
    label: str
    manner: str
    done_when: str
    bars: Positive | None = None
    bpm: Positive | None = None
    seconds: PositiveInt | None = None
    passes: PositiveInt = 1


Family = Literal["keyboard", "percussion", "plucked", "bowed", "wind", "brass", "voice", "none"]


class OpenString(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A string of an instrument, open."""

    name: str
    pitch: Pitch
    """As written."""


class Instrument(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One instrument with its exercises. Its name is the text `<id>.name`."""

    id: Annotated[str, Meta(pattern=r"^[a-z0-9-]+$(?!\n)", max_length=64)]
    family: Family
    exercises: tuple[Exercise, ...]
    proposals: tuple[OwnTaskProposal, ...] = ()
    strings: tuple[OpenString, ...] = ()
    """The lowest first; none where it has none."""
    lowest_pitch: Pitch | None = None
    """As written. Settings that take a unit below it are refused."""
    highest_pitch: Pitch | None = None
    sounds_semitones: Annotated[int, Meta(ge=-36, le=36)] = 0
    """From the written to the sounding pitch."""


Template: TypeAlias = str | Mapping[str, str]
"""A text with gaps `{name}`; or, by plural category of one number, several: `by`, `one`, `other`."""


class Texts(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A plugin's texts in one locale (`en`, or a variant that overrides some: `en-US`)."""

    locale: str
    messages: Mapping[str, Template]
