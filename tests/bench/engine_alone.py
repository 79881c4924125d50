"""The engine alone: a routine of 8 blocks and 24 tasks, one window, the plan without its ladder; with a profile."""

from cProfile import Profile
from importlib import import_module
from pathlib import Path
from statistics import median
from types import CodeType
from typing import Final
from unittest.mock import patch

import msgspec
from bagatelle import Instruments, compress, decode_request, load_instruments
from bagatelle.engine.ladder import build_ladder
from bagatelle.engine.one_window import WindowSolver
from bagatelle.model.plan import Ladder
from bagatelle.model.request import CompressionRequest

from tests.bench.routines import sized_request
from tests.bench.tables import milliseconds, percentile, table
from tests.bench.timing import timed

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
    whole, ladders = _seconds_of("bagatelle.engine.compress", "build_ladder", requests, instruments)
    parts = {name: _seconds_of(*place, requests, instruments)[1] for name, place in PARTS.items()}
    return [answer - ladder for answer, ladder in zip(whole, ladders, strict=True)], parts


def _seconds_of(
    module: str, function: str, requests: list[CompressionRequest], instruments: Instruments
) -> tuple[list[float], list[float]]:
    """Seconds of each answer, and of one function in it."""
    whole: list[float] = []
    parts: list[float] = []
    answer = timed(compress, whole)
    with patch(f"{module}.{function}", timed(getattr(import_module(module), function), parts)):
        for request in requests:
            answer(request, instruments)
    return whole, parts


def _profile(requests: list[CompressionRequest], instruments: Instruments) -> str:
    def unprofiled_ladder(solver: WindowSolver, usual_seconds: int, *, measured: bool) -> Ladder:
        profiler.disable()
        ladder = build_ladder(solver, usual_seconds, measured=measured)
        profiler.enable()
        return ladder

    profiler = Profile()
    with patch("bagatelle.engine.compress.build_ladder", unprofiled_ladder):
        for request in requests:
            profiler.enable()
            compress(request, instruments)
            profiler.disable()
    entries = sorted(profiler.getstats(), key=lambda entry: -entry.inlinetime)
    total = sum(entry.inlinetime for entry in entries)
    rows = [
        [
            _name(entry.code),
            f"{100 * entry.inlinetime / total:.1f} %",
            f"{entry.callcount / len(requests):.0f}",
        ]
        for entry in entries[:SHOWN]
    ]
    return table(["", "of the time", "calls an answer"], rows)


def _name(code: CodeType | str) -> str:
    """Module and name of a function; of one that is built in what the profiler calls it."""
    return code if isinstance(code, str) else f"{Path(code.co_filename).stem}: {code.co_name}"
