"""Bagatelle makes a short-day plan of a musician's normal practice routine.

The public face is small: load the instruments, decode a request, make a plan or a
forecast.

>>> from bagatelle import Instruments, compress, decode_request
>>> request = decode_request(b'{"routine": {"blocks": [{"title": "Sonatina", "minutes": 40}]}}')
>>> compress(request, Instruments.none()).plan.budget_seconds
600
"""

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.decode import decode_forecast_request, decode_request
from bagatelle.engine.compress import check_specificity, compress
from bagatelle.forecasting.forecast import forecast
from bagatelle.model.errors import BagatelleError
from bagatelle.model.forecast import ForecastAnswer, ForecastRequest
from bagatelle.model.plan import CompressionAnswer, SpecificityAnswer
from bagatelle.model.request import CompressionRequest

__all__ = (
    "BagatelleError",
    "CompressionAnswer",
    "CompressionRequest",
    "ForecastAnswer",
    "ForecastRequest",
    "Instruments",
    "SpecificityAnswer",
    "check_specificity",
    "compress",
    "decode_forecast_request",
    "decode_request",
    "forecast",
    "load_instruments",
)
