"""A day sheet: what one student does on one date, and what it was made from."""

import datetime as dt
from typing import Annotated, Literal

from msgspec import Meta, Struct

from bagatelle.model.card import CardKind, SomeSeconds
from bagatelle.model.plan import Notice, Seconds
from bagatelle.model.request import WINDOWS_LIMIT
from bagatelle.model.vocabulary import Area

ASKS_LIMIT = 24


class AskedWindow(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One free gap of the day in whole seconds."""

    seconds: Annotated[int, Meta(ge=30, le=36_000)]
    starts_at: Annotated[str, Meta(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$(?!\n)")] | None = None


class Ask(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """The time that a day gives. Without a window, the quarter."""

    windows: Annotated[tuple[AskedWindow, ...], Meta(max_length=WINDOWS_LIMIT)] = ()


class MadeFrom(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Everything beside the card that a sheet is made from; with it, the same bytes come out again."""

    card: Annotated[str, Meta(max_length=128)]
    """Whatever tells the card: its hash, its id. Handed through."""
    date: dt.date
    asks: Annotated[tuple[Ask, ...], Meta(min_length=1, max_length=ASKS_LIMIT)]
    """What the day gave, the first answer first; each later one gives more."""
    last_done: dict[str, dict[str, dt.date]] = {}
    """Task -> unit -> the last day on which it was done whole. What is not before the date is not looked at."""


class SheetWindow(Struct, frozen=True, kw_only=True, gc=False):
    """One window of the day."""

    seconds: SomeSeconds
    rest_seconds: Seconds
    slack_seconds: Seconds
    starts_at: str | None = None


class SheetUnit(Struct, frozen=True, kw_only=True, gc=False):
    """One unit of a step, in words."""

    unit: str
    what: str
    how_much: str
    """All of it that the step holds, its rounds counted in. Empty where the step itself says how much."""
    times: Annotated[int, Meta(ge=1)] = 1
    """How many rounds of it that are, for whoever logs them."""
    detail: str = ""


class SheetStep(Struct, frozen=True, kw_only=True, gc=False):
    """One thing to do, complete in itself; or a rest."""

    id: str
    """Of a task: its id, the number of the visit and of the part of it. It stays when the day grows."""
    kind: Literal["task", "rest"]
    window: int
    """Position in `windows`, from 0."""
    seconds: Seconds
    """Playing seconds (of a rest: its length); set-up comes on top."""
    set_up_seconds: Seconds = 0
    task: str | None = None
    block: str | None = None
    area: Area | None = None
    title: str
    what: str
    units: tuple[SheetUnit, ...] = ()
    """In the order of playing: of music first what the last time missed, else in the own order of the exercise or
    piece."""
    how: str
    how_much: str = ""
    """Of what is one stretch of time; else the units say it."""
    done_when: str
    cautions: tuple[str, ...] = ()
    """What an earlier step of the window said already is not said again."""
    filled_in: tuple[str, ...] = ()
    continues: bool = False
    """Whether it goes on where an earlier step of this day stopped."""
    stands_in_for: str | None = None


class DaySheet(Struct, frozen=True, kw_only=True, gc=False):
    """What one student does on one date."""

    format: Literal["bagatelle-day-sheet"] = "bagatelle-day-sheet"
    version: Literal[1] = 1
    kind: CardKind
    card: str
    date: dt.date
    locale: str
    windows: tuple[SheetWindow, ...]
    steps: tuple[SheetStep, ...]
    planned_seconds: Seconds
    """Doses and set-ups; rests are not counted."""
    cautions: tuple[str, ...]
    notices: tuple[Notice, ...]
