"""The days of a stretch: each known, drawn, or else usual."""

from datetime import date, timedelta

from msgspec import Struct

from bagatelle.forecasting.drawing import drawn_position
from bagatelle.model.forecast import DayKind, ForecastRequest
from bagatelle.model.request import Circumstances


class Day(Struct, frozen=True, kw_only=True):
    """One day, with what it gives."""

    date: date
    kind: DayKind
    circumstances: Circumstances
    drawn: int | None
    """Position of its kind in the distribution; None where it was not drawn."""


def days_of(request: ForecastRequest) -> tuple[Day, ...]:
    """Every day of the stretch, in order."""
    known = {
        given.date: Day(date=given.date, kind=given.kind, circumstances=given.circumstances, drawn=None)
        for given in request.known_days
    }
    dates = (request.date + timedelta(days=number) for number in range(request.days))
    return tuple(known.get(day) or _unknown_day(request, day) for day in dates)


def _unknown_day(request: ForecastRequest, day: date) -> Day:
    distribution = request.distribution
    if distribution is None:
        return Day(date=day, kind="usual", circumstances=Circumstances(), drawn=None)
    position = drawn_position(distribution.seed, day, [kind.weight for kind in distribution.kinds])
    kind = distribution.kinds[position]
    return Day(date=day, kind=kind.kind, circumstances=kind.circumstances, drawn=position)
