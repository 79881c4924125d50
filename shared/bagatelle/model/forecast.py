"""A forecast: what is asked (a stretch of days, given or drawn), and what is answered (what each area would get).

These types are the wire format of `POST /v1/forecasts`. Routine, circumstances, history and policy are those of a
compression. Unknown fields are refused.
"""

import datetime as dt
from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from bagatelle.model.plan import MadeWith, Notice, Seconds
from bagatelle.model.request import (
    HISTORY_LIMIT,
    Circumstances,
    HistoryEntry,
    InstrumentName,
    Learner,
    Locale,
    PolicyChoices,
    Routine,
)
from bagatelle.model.vocabulary import Area

DAYS_LIMIT = 366
KINDS_LIMIT = 24
WEIGHT_LIMIT = 1_000_000
LARGEST_SEED = 2**53 - 1

DayKind = Literal["usual", "short", "no-time"]
DayCount = Annotated[int, Meta(ge=0, le=DAYS_LIMIT)]
UnitCount = Annotated[int, Meta(ge=0)]


class KnownDay(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What one day of the stretch gives, where it is known beforehand."""

    date: dt.date
    kind: DayKind
    """`usual`: the whole routine. `short`: the short-day plan of the circumstances. `no-time`: nothing."""
    circumstances: Circumstances = Circumstances()
    """Of a short day; with neither minutes nor windows, a quarter of the usual time."""


class KindOfDay(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """One kind of day that may be drawn."""

    weight: Annotated[int, Meta(ge=1, le=WEIGHT_LIMIT)]
    """How often it comes, beside the weights of the other kinds."""
    kind: DayKind
    """`usual`: the whole routine. `short`: the short-day plan of the circumstances. `no-time`: nothing."""
    circumstances: Circumstances = Circumstances()
    """Of a short day; with neither minutes nor windows, a quarter of the usual time."""


class Distribution(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """The kinds of day that days which are not known are drawn from.

    The draw of a day, on every machine: take the SHA-256 of the text `<seed>:<date>` (such as `7:2027-03-01`) as
    a whole number h of 256 bits, most significant byte first, and of the sum W of all weights the number
    n = floor(h * W / 2^256). The day is of the first kind at which the weights, added up in their order, are
    over n. So a day's draw depends on seed, date and weights alone.
    """

    seed: Annotated[int, Meta(ge=0, le=LARGEST_SEED)]
    kinds: Annotated[tuple[KindOfDay, ...], Meta(min_length=1, max_length=KINDS_LIMIT)]


class Variant(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """What a second run over the same days changes: the routine, the policy, or both."""

    routine: Routine | None = None
    policy: PolicyChoices | None = None
    """In place of the request's whole policy."""


class ForecastRequest(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, gc=False):
    """Everything that one forecast is made from."""

    routine: Routine
    instrument: InstrumentName | None = None
    date: dt.date
    """The first day of the stretch."""
    days: Annotated[int, Meta(ge=1, le=DAYS_LIMIT)]
    """How many days the stretch has."""
    known_days: Annotated[tuple[KnownDay, ...], Meta(max_length=DAYS_LIMIT)] = ()
    """Days of the stretch that are known beforehand. Another is drawn; where there is no distribution, usual."""
    distribution: Distribution | None = None
    locale: Locale = "en-GB"
    learner: Learner = Learner()
    history: Annotated[tuple[HistoryEntry, ...], Meta(max_length=HISTORY_LIMIT)] = ()
    """What was done before the first day."""
    policy: PolicyChoices = PolicyChoices()
    variant: Variant | None = None


class AreaForecast(Struct, frozen=True, kw_only=True, gc=False):
    """What one area would get: the sum of its tasks."""

    area: Area
    seconds: Seconds
    """Playing seconds, set-ups not counted."""
    days: DayCount
    """On which anything of it came."""
    longest_gap_days: DayCount
    """The most days in a row, within the stretch, on which nothing of it came."""
    units_covered: UnitCount
    """Different units that came, whole."""
    units: UnitCount
    """Units that there are."""


class TaskForecast(Struct, frozen=True, kw_only=True, gc=False):
    """What one task would get."""

    task: str
    block: str
    title: str
    area: Area
    seconds: Seconds
    """Playing seconds, set-ups not counted."""
    days: DayCount
    """On which it came."""
    longest_gap_days: DayCount
    """The most days in a row, within the stretch, on which it did not come."""
    units_covered: UnitCount
    """Different units that came, whole, in whatever form."""
    units: UnitCount
    """Units that there are."""
    stand_in: bool = False
    """The catalogue's two-minute warm-up: no task of the routine; listed where a plan would hold it."""


class Outcome(Struct, frozen=True, kw_only=True, gc=False):
    """What the stretch would come to in one way of spending its days."""

    days_kept: DayCount
    """On which anything is played; a short day counts in full."""
    longest_gap_days: DayCount
    """The most days in a row on which nothing is played."""
    short_days_without_playing: DayCount
    """Short days on which nothing is played; with plans, those that hold nothing of the routine."""
    seconds: Seconds
    """Playing seconds of all tasks."""
    areas: tuple[AreaForecast, ...]
    tasks: tuple[TaskForecast, ...]
    """In the order of the routine; the stand-in first, where there is one."""


class Change(Struct, frozen=True, kw_only=True, gc=False):
    """A number of the request's own run and of its variant; null where the run has no such area or task."""

    base: int | None
    variant: int | None


class AreaDifference(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """An area that the variant changes; only the numbers that differ."""

    area: Area
    seconds: Change | UnsetType = UNSET
    days: Change | UnsetType = UNSET
    longest_gap_days: Change | UnsetType = UNSET
    units_covered: Change | UnsetType = UNSET
    units: Change | UnsetType = UNSET


class TaskDifference(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """A task that the variant changes; only the numbers that differ."""

    task: str
    seconds: Change | UnsetType = UNSET
    days: Change | UnsetType = UNSET
    longest_gap_days: Change | UnsetType = UNSET
    units_covered: Change | UnsetType = UNSET
    units: Change | UnsetType = UNSET


class Differences(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What differs between the two runs with short-day plans, and nothing that does not."""

    days_kept: Change | UnsetType = UNSET
    longest_gap_days: Change | UnsetType = UNSET
    short_days_without_playing: Change | UnsetType = UNSET
    seconds: Change | UnsetType = UNSET
    areas: tuple[AreaDifference, ...] = ()
    tasks: tuple[TaskDifference, ...] = ()


class VariantForecast(Struct, frozen=True, kw_only=True, gc=False):
    """The same days with the variant's routine and policy."""

    with_plans: Outcome
    without_plans: Outcome
    differences: Differences


class ForecastDay(Struct, frozen=True, kw_only=True, gc=False):
    """One day of the stretch."""

    date: dt.date
    kind: DayKind
    drawn: Annotated[int, Meta(ge=0)] | None
    """Position of its kind in the distribution, from 0; null where it was not drawn."""
    seconds: Seconds
    """Playing seconds with plans."""


class DrawnKind(Struct, frozen=True, kw_only=True, gc=False):
    """How often a kind of day was drawn."""

    kind: DayKind
    weight: int
    days: DayCount


class Forecast(Struct, frozen=True, kw_only=True, gc=False):
    """What a stretch of days would come to, if each went as stated."""

    made_with: MadeWith
    assumptions: tuple[str, ...]
    """What it takes for granted, in sentences."""
    date: dt.date
    days: Annotated[int, Meta(ge=1, le=DAYS_LIMIT)]
    usual_days: DayCount
    short_days: DayCount
    no_time_days: DayCount
    drawn: tuple[DrawnKind, ...]
    """The kinds of the distribution in their order; empty where there is none."""
    with_plans: Outcome
    """Usual days whole, short days by the plans made for them."""
    without_plans: Outcome
    """The same days where nothing is played on a short day (common practice, no source)."""
    variant: VariantForecast | None
    stretch: tuple[ForecastDay, ...]
    """Every day, in order."""
    warnings: tuple[Notice, ...]
    """Of the request's own run; what a variant changes stands among its differences."""


class ForecastAnswer(Struct, frozen=True, kw_only=True, gc=False):
    """The answer to a forecast."""

    forecast: Forecast
