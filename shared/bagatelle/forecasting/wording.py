"""What a forecast says of itself: what it takes for granted, and what is worth knowing of this one."""

from collections.abc import Iterable

from bagatelle.engine.reading import unknown_in_history
from bagatelle.engine.settled import SettledTask
from bagatelle.model.forecast import ForecastRequest, Outcome
from bagatelle.model.plan import Notice
from bagatelle.model.text import Message
from bagatelle.wording.render import Say


def assumptions_of(request: ForecastRequest) -> Iterable[Message]:
    """What the forecast takes for granted."""
    yield Message("engine.forecast.what-it-is")
    yield Message("engine.forecast.usual-day")
    yield Message("engine.forecast.short-day")
    yield Message("engine.forecast.without-plans")
    if request.distribution is not None:
        yield Message("engine.forecast.drawn", {"seed": str(request.distribution.seed)})
    else:
        yield Message("engine.forecast.not-known")
    yield Message("engine.forecast.stays")
    yield Message("engine.forecast.body")


def notices_of(
    request: ForecastRequest, tasks: Iterable[SettledTask], with_plans: Outcome, say: Say
) -> Iterable[Notice]:
    """What is worth knowing of this forecast."""
    yield from unknown_in_history(request.history, (task.id for task in tasks), say)
    if any(entry.date >= request.date for entry in request.history):
        text = Message("engine.warning.history-not-before-the-stretch")
        yield Notice(code="history-not-before-the-stretch", message=say(text))
    if with_plans.short_days_without_playing:
        text = Message(
            "engine.warning.short-days-without-playing", {"days": with_plans.short_days_without_playing}
        )
        yield Notice(code="short-days-without-playing", message=say(text))
