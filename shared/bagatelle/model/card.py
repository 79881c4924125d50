"""A card: everything that any day's sheet of one kind of hard day needs, made once from a routine.

It is a self-contained document. Whoever has it makes a day sheet without plugin, search, clock or network; the rule
stands in `bagatelle.card`. All numbers that the rule reads are integers, all words are rendered.
"""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from bagatelle.model.plan import MadeWith
from bagatelle.model.request import WINDOWS_LIMIT, Locale
from bagatelle.model.vocabulary import Area, FloorMode, Stage, Strain

CardKind = Literal["usual", "scraps", "low-energy", "away", "quiet", "resting"]
DifferenceKind = Literal[
    "quarter", "task-added", "task-gone", "title", "words", "seconds", "units", "stage", "order", "cautions"
]
Seconds = Annotated[int, Meta(ge=0, le=10_000_000)]
SomeSeconds = Annotated[int, Meta(ge=1, le=10_000_000)]
Count = Annotated[int, Meta(ge=0, le=100_000)]
TaskId = Annotated[str, Meta(min_length=1, max_length=64)]
"""Of a task of the routine, or of the warm-up that stands in."""


class Lift(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Give a task so many playing seconds, those that it has counted in."""

    task: TaskId
    seconds: SomeSeconds


class PreparedDoses(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What is planned for one budget beforehand, in the order in which it is placed."""

    budget_seconds: SomeSeconds
    """The windows of the day together, their slack counted in."""
    floor_mode: FloorMode
    lifts: tuple[Lift, ...]


class CardUnit(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One unit of a task, with the words of this unit alone."""

    id: Annotated[str, Meta(max_length=64)]
    seconds: SomeSeconds
    place: Count
    """In the own order of the exercise or piece, from 0."""
    what: str
    how_much: tuple[str, ...]
    """Of this unit once, twice, three times ... over, each in one phrase; the last where it comes more often. None
    where the task is one stretch of time."""
    detail: str = ""
    """Its fingering, its sticking, its tempo."""


class CardTask(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One task with all its units. Their order decides between two that have waited as long."""

    id: TaskId
    title: str
    block: TaskId
    area: Area
    stage: Stage
    strain: Strain
    prepares: bool
    """Whether it may come before what strains."""
    strains: bool
    """Whether something that prepares must be begun before it."""
    music: bool
    """Whether it is a piece or improvisation in hand or due: of two short gaps in a row one is to have some."""
    usual_seconds: SomeSeconds
    largest_seconds: SomeSeconds
    """The most playing seconds that a day may give it, its daily cap counted in; one unit is always allowed."""
    chunk_seconds: Seconds
    """The smallest useful visit."""
    set_up_seconds: Seconds
    largest_floor_seconds: Seconds
    """Its floor is never more than this or its chunk."""
    warms: bool
    """Whether it wakes the body: all but what is done in the head."""
    cold_later: bool
    """Whether it wants a slow beginning where it opens a later window; what strains wants one in any."""
    by_time: bool
    """Whether it is one stretch of time, so that how much is its duration alone."""
    what: str
    """What of it, where no unit says so; else the title."""
    how: str
    how_each: str = ""
    """Where a step holds several units and the words differ then."""
    done_when: str
    done_when_each: str = ""
    """As `how_each`."""
    cautions: tuple[str, ...] = ()
    """They stand at the first step of a window that has them."""
    day_caution: str = ""
    """What is said of the whole day that holds it, unless a step says it: where to stop, and whom to ask."""
    sound_millionths: Count = 0
    """What a second of it, its rests with it, takes of what a day allows ears, without ear plugs."""
    filled_in: tuple[str, ...] = ()
    stands_in_for: str | None = None
    alike_with: TaskId
    """The first task of the card that is worth and takes the same, unit for unit; itself where none before it is.

    Tasks that are alike take turns: what waited longest has the place of the first.
    """
    units: Annotated[tuple[CardUnit, ...], Meta(min_length=1)]


class CardNumbers(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """The numbers of the policy that the walk reads."""

    slack_thousandths: Annotated[int, Meta(ge=0, le=500)]
    """Of a window that the day gives; left free."""
    least_slack_seconds: Seconds
    rest_from_seconds: SomeSeconds
    """A longer window gives up time to rests."""
    playing_seconds: SomeSeconds
    """Between two rests."""
    rest_seconds: SomeSeconds
    seconds_per_thing: SomeSeconds
    """One thing is allowed for each so many seconds of the day; what prepares comes on top, once."""
    least_things: Count
    usual_things: Count
    """How many the usual day holds."""
    usual_things_seconds: Seconds
    """What they take there, set-ups counted in."""
    short_seconds: SomeSeconds
    """The most that counts as a short day."""
    most_seconds: SomeSeconds | None = None
    """The most set-ups and doses of any day of this kind, where there is such a limit."""
    first_seconds: SomeSeconds | None = None
    """The first step of the day takes no longer, where it can be cut and nothing that prepares opens the day."""


class CardTexts(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Words that a sheet may need, whatever the day."""

    cold_caution: str
    unprepared_caution: str
    sound_caution: str
    rest_what: str
    rest_how: str
    rest_done_when: str
    no_short_day: str
    most_seconds_reached: str = ""
    """Why the day gives more than is planned, where the card has such a limit."""
    nothing_fits: str
    floor_chunk: str
    floor_unit: str
    durations: tuple[str, ...]
    """Of 1, 2, 3 ... half minutes."""


class Card(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What one kind of hard day is made from."""

    format: Literal["bagatelle-card"] = "bagatelle-card"
    version: Literal[1] = 1
    kind: CardKind
    locale: Locale
    made_with: MadeWith
    usual_seconds: SomeSeconds
    quarter_seconds: SomeSeconds
    """The budget where the day gives no time."""
    quarter_windows: Annotated[tuple[SomeSeconds, ...], Meta(min_length=1, max_length=WINDOWS_LIMIT)]
    """Into which it falls: one, or scraps."""
    numbers: CardNumbers
    tasks: Annotated[tuple[CardTask, ...], Meta(min_length=1)]
    """In the order that a body wants; so they stand in every window."""
    quarter: PreparedDoses
    """Where the day gives no time."""
    prepared: tuple[PreparedDoses, ...]
    """In ascending order of budget."""
    rungs: tuple[Lift, ...]
    """The whole routine in the order in which it is worth adding."""
    cautions: tuple[str, ...]
    """What concerns the day as a whole."""
    texts: CardTexts


class CardSet(Struct, frozen=True, kw_only=True, gc=False):
    """The cards of one routine, one a kind, and the kinds that it gives nothing for."""

    cards: tuple[Card, ...]
    empty_kinds: tuple[CardKind, ...]


class CardDifference(Struct, frozen=True, kw_only=True, gc=False):
    """One thing in which a newer card differs from an older one of the same kind."""

    what: DifferenceKind
    task: str | None
    before: str
    after: str
