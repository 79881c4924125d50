"""Hypothesis strategies for forecasts: generated routines over stretches of given and drawn days."""

import datetime as dt
import json

from bagatelle import decode_forecast_request, forecast
from bagatelle.model.forecast import Forecast, ForecastRequest
from hypothesis import strategies as st

from tests.strategies import DAY, Sent, circumstances, instruments, requests, without_none

FIRST_DAY = dt.date.fromisoformat(DAY)
SHARED_FIELDS = ("routine", "instrument", "date", "locale", "learner", "history", "policy")


def forecast_request_of(sent: Sent) -> ForecastRequest:
    """Return the request as the service decodes it."""
    return decode_forecast_request(json.dumps(sent).encode())


def forecast_of(sent: Sent) -> Forecast:
    """Return the forecast of a request."""
    return forecast(forecast_request_of(sent), instruments()).forecast


@st.composite
def kinds_of_day(draw: st.DrawFn, most_windows: int = 2) -> Sent:
    """A usual day, a short one of any kind, or one without time."""
    kind = draw(st.sampled_from(("usual", "short", "short", "no-time")))
    return {"kind": kind} | ({"circumstances": draw(circumstances(most_windows))} if kind == "short" else {})


@st.composite
def distributions(draw: st.DrawFn) -> Sent:
    """A seed and some kinds of day."""
    kinds = draw(st.lists(kinds_of_day(), min_size=1, max_size=4))
    return {
        "seed": draw(st.integers(0, 2**53 - 1)),
        "kinds": [kind | {"weight": draw(st.integers(1, 20))} for kind in kinds],
    }


@st.composite
def given_days(draw: st.DrawFn, most_days: int = 8) -> list[Sent]:
    """Days that follow each other from the first on, each with its kind."""
    kinds = draw(st.lists(kinds_of_day(), min_size=1, max_size=most_days))
    return [{"date": str(FIRST_DAY + dt.timedelta(days=number))} | kind for number, kind in enumerate(kinds)]


@st.composite
def forecast_requests(draw: st.DrawFn, most_tasks: int = 5, most_days: int = 8, drawn: bool = True) -> Sent:
    """A whole request that is legal in every field; without `drawn`, every day is given."""
    request = draw(requests(most_tasks=most_tasks))
    days = draw(given_days(most_days))
    sent: Sent = {name: request[name] for name in SHARED_FIELDS if name in request}
    sent["days"] = len(days)
    if drawn:
        days = [day for day in days if draw(st.booleans())]
        sent["distribution"] = draw(st.none() | distributions())
    return without_none(sent | {"known_days": days})
