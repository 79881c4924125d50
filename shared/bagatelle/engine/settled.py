"""A task with nothing left to look up: what the rest of the engine works on."""

from collections.abc import Mapping
from datetime import date
from typing import Any, Literal

from msgspec import Struct

from bagatelle.engine.problem import Item
from bagatelle.engine.rotation import in_playing_order
from bagatelle.engine.timing import UnitTime
from bagatelle.model.exercise import Exercise, Family
from bagatelle.model.plan import Factors
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import (
    IN_HAND,
    MUSIC_AREAS,
    PREPARING_AREAS,
    SHORT_AREAS,
    STRAINING,
    Area,
    BeatNote,
    Concreteness,
    Divisibility,
    Loudness,
    Pin,
    Stage,
    Strain,
)

Form = Literal["usual", "soft", "study"]
"""As it is; as the plugin's soft form; or gone through in the head."""


class Words(Struct, frozen=True, kw_only=True, gc=False):
    """The four answers of a task: message ids, and what their texts may name besides the dose."""

    what: str
    how: str
    how_much: str
    done_when: str
    parameters: Mapping[str, Value]
    settings: Mapping[str, Any] = {}
    """All settings of a catalogue exercise, from which its parameters come."""


class SettledUnit(Struct, frozen=True, kw_only=True, eq=False, gc=False):
    """One unit with its length and its words. Of the catalogue's, each stays one and the same object."""

    id: str
    label: str | Message
    """A learner's own words are shown as they are."""
    place: int = 0
    """In the own order of the exercise or piece, from 0."""
    time: UnitTime
    passes: int
    detail: Message | None = None
    bpm: float | None = None
    """None where its length is given in seconds."""
    beat: BeatNote | None = None
    """The note that gets the beat, where the learner says so."""
    bars_per_minute: float | None = None
    """Where its bars are known."""


class SettledTask(Struct, frozen=True, kw_only=True, gc=False):
    """One task of the routine, or the warm-up that stands in."""

    id: str
    block: str
    block_position: int
    pointer: str
    """Where it stands in the request; empty for the stand-in."""
    title: str
    area: Area
    stage: Stage
    stage_since: date | None = None
    """The day on which it came to its stage, where the routine says so."""
    concreteness: Concreteness
    divisibility: Divisibility
    strain: Strain
    """Of the form that it has today."""
    family: Family
    """Of its instrument."""
    strains_what_is_sore: bool = False
    """Whether as it usually is it would strain much something that is sore today."""
    loudness: Loudness
    loudness_at_ear: Loudness
    """What ears get of it: less than its loudness where settings say so."""
    pin: Pin
    due_days: int | None
    near: bool
    """Whether it is due soon."""
    usual_seconds: int
    cap_seconds: int | None
    rounds_held_from: int | None = None
    """Where the learner says how often: so many rounds any day may hold, and no more than its share of the usual
    day's rounds otherwise. None where the learner gives no number: it goes round freely."""
    units: tuple[SettledUnit, ...]
    """In today's rotation order."""
    waiting_units: int = 0
    """So many of them are played before the others."""
    chunk_seconds: int
    set_up_seconds: int
    factors: Factors
    weight: float
    form: Form
    at_rest: bool = False
    """Whether no hand, lip or voice does it, in whatever form."""
    words: Words
    exercise: Exercise | None
    filled_in: tuple[str, ...]
    cautions: tuple[Message, ...]
    shut_out: str | None = None
    """Why it is left out before the search (a message id); None where it may be planned."""
    stand_in: bool = False
    yields_to_due: bool = False
    """Whether a piece is due soon and this one is not: then it does not stand for the day's music."""

    @property
    def turns(self) -> dict[int, int]:
        """When a step plays each of its units: position in rotation order -> place in the order of playing."""
        order = in_playing_order([unit.place for unit in self.units], self.waiting_units)
        return {position: turn for turn, position in enumerate(order)}

    @property
    def in_the_head(self) -> bool:
        """Whether it is mental work: studied, or a soft form that rests the body."""
        return self.form != "usual" and self.at_rest

    @property
    def strains(self) -> bool:
        """Whether it wants something that prepares before it."""
        return self.strain in STRAINING

    @property
    def prepares(self) -> bool:
        """Whether it may come before what strains: warm-up or tone work that is played, easily and not loudly."""
        easy = not self.strains and self.loudness != "loud"
        return self.area in PREPARING_AREAS and easy and not self.at_rest

    @property
    def music(self) -> bool:
        """A piece or improvisation that is in hand or due soon; where some are due soon, these alone."""
        return self.area in MUSIC_AREAS and (self.stage in IN_HAND or self.near) and not self.yields_to_due

    @property
    def short_floor(self) -> bool:
        """Whether the chunk alone is its floor."""
        return self.area in SHORT_AREAS or self.near or self.stand_in

    @property
    def round_seconds(self) -> int:
        """All units once round, each as often as its passes say."""
        return sum(unit.time.seconds for unit in self.units)

    @property
    def largest_seconds(self) -> int:
        """The most playing seconds that a plan may give it."""
        limits = [self.usual_seconds]
        if self.cap_seconds is not None:
            limits.append(self.cap_seconds)
        if self.exercise is not None and not self.exercise.goes_round:
            limits.append(self.round_seconds)
        return min(limits)

    def item(self) -> Item:
        """The task as the solver sees it."""
        return Item(
            id=self.id,
            weight=self.weight,
            usual_seconds=self.usual_seconds,
            largest_seconds=self.largest_seconds,
            unit_seconds=tuple(unit.time.seconds for unit in self.units),
            chunk_seconds=self.chunk_seconds,
            set_up_seconds=self.set_up_seconds,
            strains=self.strains,
            prepares=self.prepares,
            music=self.music,
            short_floor=self.short_floor,
            must=self.pin == "always",
            warm_up=self.area == "warm-up",
            stand_in=self.stand_in,
        )
