"""The engine alone: a routine of 8 blocks and 24 tasks, one window, the plan without its ladder; with a profile."""

import cProfile
import pstats
from collections.abc import Callable
from statistics import median
from time import perf_counter
from typing import Any, Final
from unittest.mock import patch

import msgspec
from bagatelle import Instruments, compress, decode_request, load_instruments
from bagatelle.engine.ladder import build_ladder
from bagatelle.model.request import CompressionRequest

from tests.bench.routines import sized_request
from tests.bench.tables import milliseconds, percentile, table

ROUTINES: Final = 200
BLOCKS: Final = 8
TASKS_A_BLOCK: Final = 3
SHOWN: Final = 12
PARTS: Final = {
    "reading the request": ("bagatelle.engine.planned_day", "read_request"),
    "finding the doses": ("bagatelle.engine.planned_day", "solve_day"),
    "other plans that would do": ("bagatelle.engine.answer", "others"),
    "steps in words": ("bagatelle.engine.answer", "steps_of"),
}
"""What of the answer is measured by itself: its module, and its name there."""


def run() -> str:
    """Measure and write the report."""
    instruments = load_instruments()
    bodies = [
        msgspec.json.encode(sized_request(index, instruments, blocks=BLOCKS, tasks_a_block=TASKS_A_BLOCK))
        for index in range(ROUTINES)
    ]
    requests = [decode_request(body) for body in bodies]
    for request in requests[:20]:
        compress(request, instruments)
    whole, parts = _measured(requests, instruments)
    rows = [
        [name, milliseconds(median(each)), milliseconds(percentile(each, 90)), milliseconds(max(each))]
        for name, each in {"the plan without its ladder": whole, **parts}.items()
    ]
    return "\n".join(
        [
            "## The engine alone",
            "",
            _explained(),
            "",
            table(["", "median", "90 %", "longest"], rows),
            "",
            f"The profile: the {SHOWN} functions with the most time of their own, the profiler's cost included.",
            "",
            _profile(requests, instruments),
        ]
    )


def _explained() -> str:
    return (
        f"{ROUTINES} generated routines of {BLOCKS} blocks and {BLOCKS * TASKS_A_BLOCK} tasks, one window; bodies "
        "are decoded before, and the time of building the ladder is taken off."
    )


def _measured(
    requests: list[CompressionRequest], instruments: Instruments
) -> tuple[list[float], dict[str, list[float]]]:
    """Seconds of each answer without its ladder, and of the parts by name."""
    whole: list[float] = []
    parts: dict[str, list[float]] = {name: [] for name in PARTS}
    for request in requests:
        spent: dict[str, list[float]] = {name: [] for name in ("ladder", *PARTS)}
        with patch("bagatelle.engine.compress.build_ladder", _timed(build_ladder, spent["ladder"])):
            start = perf_counter()
            compress(request, instruments)
            seconds = perf_counter() - start
        whole.append(seconds - sum(spent["ladder"]))
    for name, (module, function) in PARTS.items():
        target = f"{module}.{function}"
        kept = getattr(__import__(module, fromlist=[function]), function)
        for request in requests:
            times: list[float] = []
            with patch(target, _timed(kept, times)):
                compress(request, instruments)
            parts[name].append(sum(times))
    return whole, parts


def _timed(call: Callable[..., Any], spent: list[float]) -> Callable[..., Any]:
    def timed(*arguments: object, **options: object) -> Any:
        start = perf_counter()
        answer = call(*arguments, **options)
        spent.append(perf_counter() - start)
        return answer

    return timed


def _profile(requests: list[CompressionRequest], instruments: Instruments) -> str:
    def no_ladder(*arguments: object, **options: object) -> Any:
        profiler.disable()
        ladder = build_ladder(*arguments, **options)  # type: ignore[arg-type]  # passed on as they come
        profiler.enable()
        return ladder

    profiler = cProfile.Profile()
    with patch("bagatelle.engine.compress.build_ladder", no_ladder):
        for request in requests:
            profiler.enable()
            compress(request, instruments)
            profiler.disable()
    stats: dict[tuple[str, int, str], tuple[int, int, float, float, Any]] = pstats.Stats(profiler).stats  # type: ignore[attr-defined]  # untyped
    total = sum(own for _, _, own, _, _ in stats.values())
    first = sorted(stats.items(), key=lambda entry: -entry[1][2])[:SHOWN]
    rows = [
        [
            f"{path.rsplit('/', 1)[-1].removesuffix('.py')}: {name}" if line else name,
            f"{100 * own / total:.1f} %",
            f"{calls / len(requests):.0f}",
        ]
        for (path, line, name), (calls, _, own, _, _) in first
    ]
    return table(["", "of the time", "calls an answer"], rows)
