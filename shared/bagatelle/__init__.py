"""Bagatelle makes a short-day plan of a musician's normal practice routine.

The public face is small: load the instruments, decode a request, make a plan or a
forecast.

>>> from bagatelle import Instruments, compress, decode_request
>>> request = decode_request(b'{"routine": {"blocks": [{"title": "Sonatina", "minutes": 40}]}}')
>>> compress(request, Instruments.none()).plan.budget_seconds
600
"""

from bagatelle.card.differences import differences_of
from bagatelle.card.kinds import ask_of, kind_of_day
from bagatelle.card.preparing import prepare, prepare_all
from bagatelle.card.rotation import only_needed
from bagatelle.card.sheet import make_sheet
from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.decode import decode_forecast_request, decode_request
from bagatelle.engine.compress import check_specificity, compress
from bagatelle.forecasting.forecast import forecast
from bagatelle.model.card import Card, CardKind, CardSet
from bagatelle.model.errors import BagatelleError
from bagatelle.model.forecast import ForecastAnswer, ForecastRequest
from bagatelle.model.plan import CompressionAnswer, SpecificityAnswer
from bagatelle.model.request import CompressionRequest
from bagatelle.model.sheet import Ask, DaySheet, MadeFrom

__all__ = (
    "Ask",
    "BagatelleError",
    "Card",
    "CardKind",
    "CardSet",
    "CompressionAnswer",
    "CompressionRequest",
    "DaySheet",
    "ForecastAnswer",
    "ForecastRequest",
    "Instruments",
    "MadeFrom",
    "SpecificityAnswer",
    "ask_of",
    "check_specificity",
    "compress",
    "decode_forecast_request",
    "decode_request",
    "differences_of",
    "forecast",
    "kind_of_day",
    "load_instruments",
    "make_sheet",
    "only_needed",
    "prepare",
    "prepare_all",
)
