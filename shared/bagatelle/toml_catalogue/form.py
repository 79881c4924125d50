"""The form of a catalogue in TOML: what may stand in the file, as types. Its JSON Schema is published from them."""

from collections.abc import Mapping
from typing import Annotated, Literal, TypeAlias

from msgspec import UNSET, Meta, Struct, UnsetType

from bagatelle.model.exercise import Family, Source
from bagatelle.model.vocabulary import (
    AREAS,
    Area,
    Concreteness,
    Divisibility,
    Level,
    Loudness,
    SorePlace,
    Stage,
    Strain,
)

FORM_VERSION = 1
TEXT_LIMIT = 400
VALUES_LIMIT = 1000

NAME_PATTERN = r"^[a-z0-9]+(-[a-z0-9]+)*$(?!\n)"
SETTING_NAME_PATTERN = r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$(?!\n)"
PITCH_PATTERN = r"^[A-G](##|bb|#|b)?-?[0-9]$(?!\n)"
LONGEST_SET_UP_SECONDS = 1800
"""As long as that of a learner's own task may be."""

Name = Annotated[str, Meta(pattern=NAME_PATTERN, max_length=64)]
"""Lower-case letters and digits, hyphens between."""
SettingName = Annotated[str, Meta(pattern=SETTING_NAME_PATTERN, max_length=40)]
"""A lower-case letter, then lower-case letters and digits, single underscores between."""
Text = Annotated[str, Meta(min_length=1, max_length=TEXT_LIMIT)]
PluralText = Annotated[dict[str, Text], Meta(max_length=8)]
"""By plural category of one number: `by` names it, then `one`, `other`."""
Template: TypeAlias = Text | PluralText
Pitch = Annotated[str, Meta(pattern=PITCH_PATTERN)]
"""Scientific pitch notation: C4 is middle C, F#3, Bb4."""
Expression: TypeAlias = Annotated[str, Meta(min_length=1, max_length=200)] | int | float
"""A number, or numbers and names joined by `+`, `-` and `*`."""
PositiveInt = Annotated[int, Meta(ge=1)]


class OpenStringEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One string of the instrument, open."""

    name: Text
    pitch: Pitch
    """As written."""


class InstrumentEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The instrument."""

    id: Name
    """How the ids of its exercises begin."""
    family: Family
    name: Text
    version: Annotated[str, Meta(min_length=1, max_length=40)] = "1"
    """Of the file. A distribution has one of its own."""
    lowest: Pitch | None = None
    """As written for the instrument."""
    highest: Pitch | None = None
    sounds_semitones: Annotated[int, Meta(ge=-36, le=36)] = 0
    """From the written to the sounding pitch: -2 for a trumpet in B flat."""
    strings: Annotated[tuple[OpenStringEntry, ...], Meta(max_length=24)] = ()
    """The lowest first."""


class SoftEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The form of an exercise for thin walls, or for a day without the instrument."""

    strain: Strain
    loudness: Literal["silent", "soft"]
    needs_instrument: bool
    works: tuple[SorePlace, ...] | None = None
    """What of the body it works, which is left alone while that is sore; `[]` where it is in the head or by ear
    alone. Left out: what the instrument works."""
    what: Template
    how: Template
    how_much: Template | None = None
    """Where it differs."""
    done_when: Template | None = None
    """Where it differs."""


class SettingEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One setting of an exercise: of a list of choices, a whole number, or words; with `most`, several of these."""

    about: Text
    of: Name | None = None
    """A list of choices, one of whose values it is."""
    only: Annotated[tuple[Name, ...], Meta(min_length=1)] | None = None
    """The values of that list that are open to it, where not all are."""
    whole: Annotated[tuple[int, int], Meta()] | None = None
    """The least and the greatest number that it may be."""
    words: Annotated[int, Meta(ge=1, le=TEXT_LIMIT)] | None = None
    """Free words of the learner, of so many characters at most."""
    most: Annotated[int, Meta(ge=1, le=100)] | None = None
    """With it, 1 to so many different ones; without it exactly one."""
    default: int | str | tuple[int | str, ...]


class UnitsEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The units that settings make, and how long each takes: by one of `notes`, `bars`, `seconds`."""

    each: SettingName | None = None
    """The setting whose values are the units, one each. A single unit without it."""
    label: Text | None = None
    """`{each}` where it is not given; needed where there is no `each`."""
    detail: Text | None = None
    """What the hands need for one unit alone."""
    notes: Expression | None = None
    notes_per_beat: Expression = 1
    bars: Expression | None = None
    beats_per_bar: Expression = 4
    seconds: Expression | None = None
    bpm: Expression | None = None
    passes: Expression = 1
    pause_seconds: Expression = 0
    """Pauses and rests of all passes together; may name `played`, the seconds that they sound."""
    lowest: Expression | None = None
    """The lowest pitch of the unit, as written."""
    highest: Expression | None = None
    loudness_from: SettingName | None = None
    """A setting of one choice whose column `loudness` says how loud the exercise is with it."""


class ExerciseEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One exercise."""

    name: Name
    version: PositiveInt = 1
    title: Text
    also_called: Annotated[tuple[Text, ...], Meta(max_length=20)] = ()
    area: Area
    level: Level
    stage: Stage = "refining"
    concreteness: Concreteness
    divisibility: Divisibility
    strain: Strain
    loudness: Loudness
    needs_instrument: bool = True
    works: tuple[SorePlace, ...] | None = None
    """What of the body it works, where that is not what its instrument, area and strain say."""
    usual_minutes: Annotated[float, Meta(gt=0, le=120)]
    smallest_chunk_seconds: PositiveInt
    set_up_seconds: Annotated[int, Meta(ge=0, le=LONGEST_SET_UP_SECONDS)]
    daily_cap_seconds: PositiveInt | None = None
    cadence_days: PositiveInt | None = None
    widest_interval_semitones: PositiveInt | None = None
    details_up_to: Level | None = None
    cautions: Annotated[tuple[Name, ...], Meta(max_length=5)] = ()
    goes_round: bool = True
    warm_up_stand_in: bool = False
    sources: Annotated[tuple[Name, ...], Meta(min_length=1, max_length=20)]
    what: Template
    how: Template
    how_much: Template
    done_when: Template
    soft: SoftEntry | None = None
    settings: Annotated[dict[SettingName, SettingEntry], Meta(max_length=20)] = {}
    units: UnitsEntry


class ProposalEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What is proposed for a learner's own task of an area that leaves questions open."""

    area: Area
    label: Text
    manner: Text
    done_when: Text
    bars: Annotated[float, Meta(gt=0)] | None = None
    bpm: Annotated[float, Meta(gt=0)] | None = None
    seconds: PositiveInt | None = None
    passes: PositiveInt = 1


class CommonEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Which of the exercises that instruments share are taken."""

    take: Annotated[tuple[Name, ...], Meta(min_length=1, max_length=100)]


ChoiceValue: TypeAlias = dict[str, Text | int | float]
"""`name` and `label`, and any further columns."""


class Part(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A file of a catalogue; all files of one share sources, cautions and choices, and one has the instrument."""

    form: Literal[1]
    instrument: InstrumentEntry | UnsetType = UNSET
    common: CommonEntry | UnsetType = UNSET
    sources: dict[Name, Source] = {}
    cautions: dict[Name, Text] = {}
    choices: Annotated[
        dict[Name, Annotated[tuple[ChoiceValue, ...], Meta(min_length=1, max_length=VALUES_LIMIT)]],
        Meta(max_length=100),
    ] = {}
    exercise: tuple[ExerciseEntry, ...] = ()
    proposal: Annotated[tuple[ProposalEntry, ...], Meta(max_length=len(AREAS))] = ()
    texts: Mapping[str, dict[str, Template]] = {}
    """By locale and message id, what is said otherwise there."""
