"""The ladder over generated routines: how near it comes to the best plan of each minute, and what it costs."""

from collections.abc import Callable
from statistics import mean, median
from time import perf_counter
from typing import Final
from unittest.mock import patch

import msgspec
from bagatelle import Instruments, compress, decode_request, load_instruments
from bagatelle.engine.ladder import build_ladder
from bagatelle.model.plan import Ladder, LadderMinute
from msgspec import Struct

from tests.bench.routines import generated_request
from tests.bench.tables import milliseconds, percentile, table
from tests.bench.timing import timed

ROUTINES: Final = 500


class Cost(Struct, frozen=True):
    """Seconds of one answer without a measured ladder, of its ladder alone, and of measuring it."""

    answer_seconds: float
    building_seconds: float
    measuring_seconds: float


def run() -> str:
    """Measure and write the report."""
    instruments = load_instruments()
    ladders: list[Ladder] = []
    costs: list[Cost] = []
    for index in range(ROUTINES):
        ladder, cost = _one_routine(index, instruments)
        ladders.append(ladder)
        costs.append(cost)
    return _report(ladders, costs)


def _one_routine(index: int, instruments: Instruments) -> tuple[Ladder, Cost]:
    request = generated_request(index, instruments)
    spent: list[float] = []
    with patch("bagatelle.engine.compress.build_ladder", timed(build_ladder, spent)):
        start = perf_counter()
        _answered(request | {"measure_ladder": False}, instruments)
        answer_seconds = perf_counter() - start
        ladder = _answered(request | {"measure_ladder": True}, instruments)
    building, with_measuring = spent
    return ladder, Cost(answer_seconds, building, with_measuring - building)


def _answered(request: dict[str, object], instruments: Instruments) -> Ladder:
    return compress(decode_request(msgspec.json.encode(request)), instruments).plan.ladder


def _report(ladders: list[Ladder], costs: list[Cost]) -> str:
    minutes = [minute for ladder in ladders for minute in ladder.minutes]
    lowest = [min(_ratio(minute) for minute in ladder.minutes) for ladder in ladders]
    rows = [
        ["mean ratio of all minutes", f"{mean(_ratio(minute) for minute in minutes):.4f}"],
        [
            "the same, no minute counted above 1",
            f"{mean(min(1.0, _ratio(minute)) for minute in minutes):.4f}",
        ],
        ["lowest ratio of a routine, median", f"{median(lowest):.4f}"],
        ["lowest ratio of a routine, one in ten below", f"{percentile(lowest, 10):.4f}"],
        ["lowest ratio of a routine, lowest", f"{min(lowest):.4f}"],
        ["minutes above 1", _share(minutes, lambda minute: minute.worth > minute.best)],
        ["minutes below a half", _share(minutes, lambda minute: 2 * minute.worth < minute.best)],
        ["minutes without a proved optimum (its bound counts)", _share(minutes, lambda m: not m.proved)],
    ]
    cost_rows = [
        [
            name,
            *(
                milliseconds(value)
                for value in (median(values), mean(values), percentile(values, 99), max(values))
            ),
        ]
        for name, values in (
            ("the whole answer, ladder not measured", [cost.answer_seconds for cost in costs]),
            ("of that, building the ladder", [cost.building_seconds for cost in costs]),
            ("measuring it, on top", [cost.measuring_seconds for cost in costs]),
        )
    ]
    explanation = (
        f"{len(ladders)} generated routines, {len(minutes)} whole minutes from 5 to the usual time. The ratio "
        "is the worth of the ladder walked to that minute to the optimum of that minute alone. It may exceed 1: "
        "a walk goes on from the plan of a smaller budget, whose floors were lower."
    )
    return "\n".join(
        [
            "## The ladder against the best plan of each minute",
            "",
            explanation,
            "",
            table(["", "ratio or share"], rows),
            "",
            table(["a routine", "median", "mean", "99 %", "longest"], cost_rows),
        ]
    )


def _ratio(minute: LadderMinute) -> float:
    return minute.worth / minute.best


def _share(minutes: list[LadderMinute], holds: Callable[[LadderMinute], bool]) -> str:
    return f"{100 * sum(map(holds, minutes)) / len(minutes):.2f} %"
