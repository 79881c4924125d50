"""What is asked: a routine, what the day gives, and what was done before.

These types are the wire format too: the same structures stand in a routine file and in the body of
`POST /v1/compressions`. Minutes are what people write; the engine turns them into whole seconds once.
Unknown fields are refused.
"""

import datetime as dt
from typing import Annotated, Any

from msgspec import Meta, Struct

from bagatelle.model.vocabulary import (
    Area,
    BeatNote,
    Concreteness,
    Divisibility,
    Energy,
    Focus,
    Level,
    Loudness,
    Pin,
    Security,
    SorePlace,
    Stage,
    Strain,
)

BLOCKS_LIMIT = 40
TASKS_LIMIT = 200
WINDOWS_LIMIT = 24
BLOCK_MINUTES_LIMIT = 600
HISTORY_LIMIT = 5000
PASSAGES_LIMIT = 100

# `$` alone would let a trailing newline through in Python.
Id = Annotated[str, Meta(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.:-]{0,63}$(?!\n)", max_length=64)]
"""A client's own key: letters, digits and `_ . : -`, at most 64 of them."""
Title = Annotated[str, Meta(min_length=1, max_length=200)]
Wording = Annotated[str, Meta(min_length=1, max_length=400)]
Minutes = Annotated[float, Meta(ge=0.5, le=BLOCK_MINUTES_LIMIT)]
Count = Annotated[int, Meta(ge=1, le=1000)]
BeatsPerMinute = Annotated[float, Meta(ge=20, le=400)]
PitchName = Annotated[
    str, Meta(pattern=r"^[A-G](##|bb|#|b)?-?[0-9]$(?!\n)", max_length=5, examples=["F#3", "C6"])
]
"""Scientific pitch notation: C4 is middle C, F#3, Bb4."""
InstrumentName = Annotated[str, Meta(max_length=64)]
Locale = Annotated[str, Meta(pattern=r"^[a-z]{2,3}(-[A-Z]{2})?$(?!\n)", max_length=6)]


class Limits(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What this learner's body allows."""

    widest_interval_semitones: Annotated[int, Meta(ge=1, le=24)] | None = None
    """The widest stretch of one hand, in semitones; exercises that need more are left out."""
    lowest_pitch: PitchName | None = None
    """The lowest note to practise, as written: settings that take an exercise below it are refused."""
    highest_pitch: PitchName | None = None
    """The highest note to practise, as written: settings that take an exercise above it are refused."""


class Learner(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Who practises; no names, nothing personal."""

    level: Level | None = None
    limits: Limits = Limits()


class Passage(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """A unit of a task of the learner's own: some bars, some notes, or simply some seconds.

    Give one of `bars` (with `bpm`), `notes` (with `bpm`) or `seconds`.
    """

    id: Id
    label: Title
    bars: Annotated[float, Meta(gt=0, le=1000)] | None = None
    beats_per_bar: Annotated[float, Meta(gt=0, le=32)] = 4
    notes: Annotated[int, Meta(ge=1, le=10000)] | None = None
    notes_per_beat: Annotated[float, Meta(gt=0, le=32)] = 1
    bpm: BeatsPerMinute | None = None
    beat: BeatNote | None = None
    """The note that gets the beat; where it is not said, the plan speaks of beats a minute."""
    seconds: Annotated[int, Meta(ge=5, le=7200)] | None = None
    """Of one time through."""
    passes: Annotated[int, Meta(ge=1, le=100)] | None = None
    """How often it is played; one, with a question open, where it is not said."""
    pause_seconds: Annotated[float, Meta(ge=0, le=600)] = 0
    """Rest that belongs to it, between and after the passes together: counted once, however often it is played."""
    security: Security = "moderate"
    """How surely it goes. Of passages that have waited as long, the least secure comes first."""


class Task(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One thing practised in a block: a catalogue exercise with settings, or the learner's own."""

    id: Id | None = None
    """The client's key, unique in the routine. Made from the title where absent."""
    title: Title | None = None
    exercise: Annotated[str, Meta(max_length=128)] | None = None
    settings: dict[str, Any] = {}
    area: Area | None = None
    stage: Stage | None = None
    stage_since: dt.date | None = None
    """The day from which the stage was set. What was done before it is no evidence for the next stage."""
    minutes: Minutes | None = None
    """Usual minutes of playing; set-up comes on top."""
    due: dt.date | None = None
    cadence_days: Annotated[int, Meta(ge=1, le=365)] | None = None
    pin: Pin = "auto"
    passages: Annotated[tuple[Passage, ...], Meta(max_length=PASSAGES_LIMIT)] = ()
    manner: Wording | None = None
    done_when: Wording | None = None
    concreteness: Concreteness | None = None
    divisibility: Divisibility | None = None
    strain: Strain | None = None
    loudness: Loudness | None = None
    needs_instrument: bool | None = None
    smallest_chunk_seconds: Annotated[int, Meta(ge=10, le=7200)] | None = None
    set_up_seconds: Annotated[int, Meta(ge=0, le=1800)] | None = None


class Block(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """A stretch of the routine under one area. Without tasks it counts as one task of its own title."""

    id: Id | None = None
    title: Title
    area: Area | None = None
    minutes: Minutes | None = None
    tasks: Annotated[tuple[Task, ...], Meta(max_length=TASKS_LIMIT)] = ()


class Routine(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """The normal day: blocks in order."""

    title: Title | None = None
    blocks: Annotated[tuple[Block, ...], Meta(min_length=1, max_length=BLOCKS_LIMIT)]


class Window(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One free gap of the day: playing time, unpacking not counted."""

    minutes: Minutes
    starts_at: Annotated[str, Meta(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$(?!\n)")] | None = None
    """Wall-clock time, `HH:MM`; shown again, never computed with."""


class Circumstances(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What the day gives. With neither minutes nor windows, a quarter of the usual time."""

    minutes: Minutes | None = None
    windows: Annotated[tuple[Window, ...], Meta(max_length=WINDOWS_LIMIT)] = ()
    energy: Energy = "usual"
    focus: Focus = "usual"
    instrument_at_hand: bool = True
    """Of a singer: whether there is a place to sing, as nobody leaves a voice at home."""
    quiet: bool = False
    soreness: bool = False
    """Something is sore, and it is not said what: nothing is played."""
    sore: Annotated[tuple[SorePlace, ...], Meta(max_length=4)] = ()
    """What is sore: hands (up to the shoulders), lip (and jaw), voice (and throat), back (and neck).

    What may work it is left out or done in the head.
    """


class HistoryEntry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What was done of one task on one day."""

    task: Id
    date: dt.date
    seconds: Annotated[int, Meta(ge=0, le=86400)] = 0
    units: Annotated[tuple[Annotated[str, Meta(max_length=64)], ...], Meta(max_length=PASSAGES_LIMIT)] = ()
    """Whole units only; a unit that was begun and not ended does not count."""
    done_when_met: bool | None = None
    """Whether what the step said under `done_when` was met; absent where nobody said."""


class PolicyChoices(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """The numbers of the policy table that a request may change, within its bounds."""

    share: Annotated[float, Meta(gt=0, le=1)] | None = None
    """Share of the usual time. Over a half is refused as not short."""
    seconds_per_task: Annotated[int, Meta(ge=120, le=1800)] | None = None
    """One task is allowed for each so many seconds of the budget."""
    near_days: Annotated[int, Meta(ge=1, le=60)] | None = None
    """What is due within so many days counts as coming up soon."""


class CompressionRequest(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Everything that one plan is made from."""

    routine: Routine
    instrument: InstrumentName | None = None
    """The id of a plugin's instrument, or an ordinary name in English, such as alto saxophone."""
    date: dt.date | None = None
    """The day of the plan. Needed where anything is due, or where a history is given."""
    locale: Locale = "en-GB"
    learner: Learner = Learner()
    circumstances: Circumstances = Circumstances()
    history: Annotated[tuple[HistoryEntry, ...], Meta(max_length=HISTORY_LIMIT)] = ()
    policy: PolicyChoices = PolicyChoices()
    strict: bool = False
    measure_ladder: bool = False
    """Whether to compare the ladder with the optimum at each whole minute, which costs many times the plan."""
