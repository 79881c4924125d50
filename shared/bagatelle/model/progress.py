"""Progress: what was logged and planned, and what it comes to.

The first half goes in: plain facts, as whoever keeps them reads them. The second half comes out, and is a wire
format too. Time is in whole seconds; a day is the student's own.
"""

import datetime as dt
from typing import Annotated, Literal

from msgspec import Meta, Struct

from bagatelle.model.vocabulary import Area, Pin, Stage

LogKind = Literal["usual", "short", "free"]
OfferKind = Literal["shorter-plan", "left-out", "skipped", "next-stage"]

IsoWeekday = Annotated[int, Meta(ge=1, le=7)]
"""Monday 1 to Sunday 7, as ISO 8601 numbers them."""
Number = Annotated[int, Meta(ge=0)]


class LogEntry(Struct, frozen=True, kw_only=True, gc=False):
    """One thing done on one day, in one of its revisions."""

    id: str
    """Made by the client: an entry that comes twice is one."""
    revision: Annotated[int, Meta(ge=1)] = 1
    """Of several with one id the highest counts, in whatever order they come."""
    removed: bool = False
    """Whether this revision takes the entry back."""
    day: dt.date
    kind: LogKind
    """`usual`: of the whole routine. `short`: of a short day. `free`: played for its own sake."""
    task: str | None = None
    area: Area | None = None
    """Of the task, as it was then."""
    seconds: Number
    units: tuple[str, ...] = ()
    """Whole units only."""
    step: str | None = None
    """Of the sheet of that day; None where it was logged by its task alone."""
    done_when_met: bool | None = None


class DateSpan(Struct, frozen=True, kw_only=True, gc=False):
    """Some days in a row, both ends among them."""

    first: dt.date
    last: dt.date


class DaysOff(Struct, frozen=True, kw_only=True, gc=False):
    """Days on which nothing is meant to be played."""

    weekdays: tuple[IsoWeekday, ...] = ()
    spans: tuple[DateSpan, ...] = ()


class SheetStep(Struct, frozen=True, kw_only=True, gc=False):
    """A step of a day sheet that is played; rests are none."""

    id: str
    """Unique on its sheet."""
    task: str
    seconds: Number


class SheetMade(Struct, frozen=True, kw_only=True, gc=False):
    """A day sheet, as far as progress asks; a day has one."""

    day: dt.date
    given_seconds: Number
    """What it was made for: what the day was said to give, or else the plan's own budget."""
    plan_kind: str
    steps: tuple[SheetStep, ...]
    """In plan order."""


class TaskFacts(Struct, frozen=True, kw_only=True, gc=False):
    """A task of the routine as it stands now, or one that it had."""

    id: str
    title: str
    area: Area | None
    """None where nobody knows it any more."""
    current: bool = True
    """Whether the routine still has it; nothing is offered of one that it has not."""
    since: dt.date | None = None
    """The day on which it came into the routine; gaps are counted from there."""
    stage: Stage | None = None
    """None where the routine does not state it."""
    stage_since: dt.date | None = None
    cadence_days: Annotated[int, Meta(ge=1)] = 1
    pin: Pin = "auto"
    units: tuple[str, ...] = ()
    """Ids of the units that it has now, in its own order."""


class PracticeFacts(Struct, frozen=True, kw_only=True, gc=False):
    """Everything that a student's progress is made from."""

    today: dt.date
    """The student's own; it is not over, so it is no gap."""
    first_day: dt.date
    """What is dated before it, or after the last day, is left aside."""
    last_day: dt.date | None = None
    """None: today. A day before today is over, and counts as any other."""
    entries: tuple[LogEntry, ...] = ()
    """In any order; revisions and doubles of one id may be among them."""
    days_off: DaysOff = DaysOff()
    sheets: tuple[SheetMade, ...] = ()
    tasks: tuple[TaskFacts, ...] = ()
    """In the order of the answer."""
    plan_seconds: Number | None = None
    """Budget of the plan that stands ready where a day says nothing; None where there is none."""
    usual_seconds: Number | None = None
    """Of the whole routine."""
    answered: frozenset[str] = frozenset()
    """Keys of the offers that were taken or put aside for good."""


class Continuity(Struct, frozen=True, kw_only=True, gc=False):
    """Days kept. A short day is a kept day, full weight; a day off by plan is no gap."""

    days_kept: Number
    """On which anything was played, days off among them."""
    usual_days: Number
    """Days kept with anything of the whole routine."""
    short_days: Number
    """Days kept with anything of a short day, and nothing of the whole routine."""
    free_days: Number
    """Days kept with free playing alone."""
    days_off: Number
    """Off by plan, and nothing was played."""
    days_open: Number
    """Neither off nor kept; today, which is not over, is none."""
    longest_gap_days: Number
    """The most open days between two kept ones, or before the first or after the last."""
    current_gap_days: Number
    """Open days since the last kept one."""


class AreaSeconds(Struct, frozen=True, kw_only=True, gc=False):
    """What one area got."""

    area: Area
    seconds: Number


class WeekPlayed(Struct, frozen=True, kw_only=True, gc=False):
    """A week, Monday to Sunday, in which anything was logged."""

    year: int
    """Of the ISO week, which may differ from that of its days."""
    week: Annotated[int, Meta(ge=1, le=53)]
    monday: dt.date
    seconds: Number
    """All: areas, free playing and what is of no area."""
    areas: tuple[AreaSeconds, ...]
    """In the vocabulary's order, without those that got nothing."""
    free_seconds: Number
    """Free playing, of whatever area."""
    no_area_seconds: Number
    """No free playing, and of no area that is known."""


class AreaProgress(Struct, frozen=True, kw_only=True, gc=False):
    """What one area got in the whole stretch; free playing is not counted."""

    area: Area
    seconds: Number
    days: Number
    """On which anything of it was played."""
    longest_gap_days: Number
    """The most days without it, days off not counted."""
    current_gap_days: Number
    """Days since it last came, days off not counted."""


class UnitProgress(Struct, frozen=True, kw_only=True, gc=False):
    """How often one unit was done, whole."""

    unit: str
    days: Number
    last_day: dt.date | None


class TaskProgress(Struct, frozen=True, kw_only=True, gc=False):
    """What one task got in the whole stretch."""

    task: str
    seconds: Number
    days: Number
    """On which anything of it was played."""
    last_day: dt.date | None
    longest_gap_days: Number
    """The most days without it, days off not counted."""
    current_gap_days: Number
    """Days since it last came, days off not counted."""
    units_covered: Number
    """How many of the units that it has now were done."""
    units: tuple[UnitProgress, ...]
    """Those that it has now, in its own order."""
    former_units: tuple[UnitProgress, ...]
    """Those that it has lost, by id; they keep their history."""


class KindUse(Struct, frozen=True, kw_only=True, gc=False):
    """Sheets of one kind of plan."""

    plan_kind: str
    made: Number
    begun: Number
    """Of these, with at least one step logged."""
    finished: Number
    """Of these, with every step logged."""


class SkippedTask(Struct, frozen=True, kw_only=True, gc=False):
    """A task that was planned often and skipped on most of the sheets that were begun."""

    task: str
    planned_on: Number
    """Sheets before today that had it, and were begun."""
    skipped_on: Number
    """Of these, with nothing of it logged."""


class PlanUse(Struct, frozen=True, kw_only=True, gc=False):
    """How the plans were used."""

    made: Number
    begun: Number
    finished: Number
    kinds: tuple[KindUse, ...]
    """By name."""
    skipped: tuple[SkippedTask, ...]
    """By id."""


class PlanFit(Struct, frozen=True, kw_only=True, gc=False):
    """The length that fits nine hard days in ten, from the time that they really gave.

    A hard day is one kept short, before today. It gave what was played on it; where every step of its sheet was
    done, at least what the sheet was made for.
    """

    days: Number
    """Hard days that it is reckoned from; with fewer than ten nothing is said."""
    fits_seconds: Number | None
    """The 10 % quantile as Hyndman and Fan (1996) define their sixth, rounded down."""
    level: float
    """The interval holds the true quantile with at least this probability, if days are alike and independent."""
    low_seconds: Number | None
    """Lower end, one of the days; None where the days are too few to have one."""
    high_seconds: Number | None
    """Upper end, one of the days."""
    plan_seconds: Number | None
    """Budget of the plan that stands ready."""
    plan_is_longer: bool
    """Whether the plan is longer than the whole interval."""


class OfferedChange(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What the routine or policy would have instead; one thing only."""

    share: float | None = None
    """Of the usual time, in whole hundredths."""
    pin: Pin | None = None
    stage: Stage | None = None
    stage_since: dt.date | None = None


class OfferEvidence(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """The numbers that an offer stands on."""

    days: Number | None = None
    """Hard days, or kept days without the task."""
    fits_seconds: Number | None = None
    high_seconds: Number | None = None
    plan_seconds: Number | None = None
    planned_on: Number | None = None
    skipped_on: Number | None = None
    met_on: tuple[dt.date, ...] = ()


class Offer(Struct, frozen=True, kw_only=True, gc=False):
    """One small change, offered and never applied by itself."""

    key: str
    """The same for the same change, so that an answer to it is remembered."""
    kind: OfferKind
    task: str | None
    change: OfferedChange
    evidence: OfferEvidence
    message: str


class Progress(Struct, frozen=True, kw_only=True, gc=False):
    """What a student's logs and plans come to."""

    first_day: dt.date
    last_day: dt.date
    today: dt.date
    seconds: Number
    """All that was logged."""
    continuity: Continuity
    weeks: tuple[WeekPlayed, ...]
    """In order, without those in which nothing was logged."""
    areas: tuple[AreaProgress, ...]
    """Those of a task of the routine or with anything logged, in the vocabulary's order."""
    tasks: tuple[TaskProgress, ...]
    plans: PlanUse
    fit: PlanFit
    offer: Offer | None
    """The most important that is not answered yet."""


class StudentSummary(Struct, frozen=True, kw_only=True, gc=False):
    """One student of a group, without any name or id."""

    plans_ready: bool
    short_only_weeks: Number
    """Of the last weeks, those in which something was played and all of it on short days."""


class GroupGlance(Struct, frozen=True, kw_only=True, gc=False):
    """A group in counts alone; a count is null where it is withheld."""

    students: Number | None
    plans_ready: Number | None
    """Students with a plan ready."""
    plans_missing: Number | None
    """Students with none."""
    short_only: Number | None
    """Students on short days only for so many of the last weeks as was asked."""
    withheld_below: Number
    """A count is withheld where it, or what it leaves of the group, would be of fewer students than this."""
