"""Of n tasks that are alike, m of which a day holds, each comes back within ceil(n / m) days."""

import datetime as dt
import math

from bagatelle import MadeFrom, make_sheet, prepare
from hypothesis import given
from hypothesis import strategies as st

from tests.card_strategies import ask_of_seconds
from tests.strategies import instruments, request_of

FIRST_DAY = dt.date(2027, 3, 1)


@given(st.integers(2, 9), st.integers(1, 3), st.lists(st.integers(120, 900), min_size=1, max_size=3))
def test_things_alike_take_turns(count: int, minutes: int, windows: list[int]) -> None:
    tunes = [
        {"id": f"tune-{number}", "title": f"Tune {number}", "stage": "maintaining", "minutes": minutes}
        for number in range(count)
    ]
    card = prepare(
        request_of({"routine": {"blocks": [{"title": "Tunes", "tasks": tunes}]}}), instruments(), "usual"
    )
    last: dict[str, dict[str, dt.date]] = {}
    days: list[set[str]] = []
    for number in range(12):
        day = FIRST_DAY + dt.timedelta(days=number)
        sheet = make_sheet(
            card, MadeFrom(card="c1", date=day, asks=(ask_of_seconds(*windows),), last_done=last)
        )
        done = {step.task: {unit.unit: day for unit in step.units} for step in sheet.steps if step.task}
        last |= done
        days.append(set(done))
    fewest = min(map(len, days))
    if fewest:
        within = math.ceil(count / fewest)
        for start in range(len(days) - within + 1):
            assert len(set.union(*days[start : start + within])) == count
