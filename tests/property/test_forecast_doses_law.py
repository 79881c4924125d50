"""A simulated short day has the very doses of the plan that `compress` makes of the same request."""

from bagatelle import compress
from bagatelle.forecasting.played import DayPlayed
from bagatelle.forecasting.simulation import short_day
from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from hypothesis import example, given

from tests.strategies import Sent, instruments, request_of, requests

NOTHING_FITS: Sent = {
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {
                        "title": "Sonata",
                        "minutes": 60,
                        "passages": [{"id": "a", "label": "all of it", "seconds": 900}],
                    }
                ],
            }
        ]
    },
    "circumstances": {"minutes": 5},
}


@given(requests())
@example(NOTHING_FITS)
def test_the_doses_are_those_of_the_plan(sent: Sent) -> None:
    request = request_of(sent)
    simulated = short_day(request, instruments())
    try:
        plan = compress(request, instruments()).plan
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        assert simulated == DayPlayed()
        return
    seconds: dict[str, int] = {}
    units: dict[str, set[str]] = {}
    for step in plan.steps:
        if step.task is not None:
            seconds[step.task] = seconds.get(step.task, 0) + step.seconds
            units.setdefault(step.task, set()).update(step.units)
    assert {each.task: each.seconds for each in simulated.tasks} == seconds
    # A step shows them in the order of playing, a simulated day in that of rotation; a history has no order.
    assert {each.task: set(each.units) for each in simulated.tasks} == units
    assert all(len(set(each.units)) == len(each.units) for each in simulated.tasks)
