"""Hypothesis strategies for whole requests as they are sent: routines, days, what was done before."""

from typing import Any

from hypothesis import strategies as st

AREAS = (
    "warm-up", "tone", "technique", "rhythm", "sight-reading", "ear", "harmony", "improvisation", "repertoire",
    "repertoire", "repertoire", "theory",
)  # fmt: skip
STAGES = ("new", "learning", "refining", "maintaining")
STRAINS = ("none", "low", "low", "moderate", "high")
EXERCISES = (
    "piano.major-scale", "piano.arpeggio", "piano.cadence", "piano.octaves", "piano.trill", "piano.chromatic-scale",
)  # fmt: skip
DAY = "2026-11-25"
DATES = ("2026-11-10", "2026-11-20", "2026-11-24")
DUE = ("2026-11-25", "2026-11-30", "2026-12-09", "2026-12-24", "2026-11-01")


@st.composite
def own_passages(draw: st.DrawFn) -> list[dict[str, Any]]:
    count = draw(st.integers(1, 6))
    return [
        {"id": f"p{number}", "label": f"passage {number}", "seconds": draw(st.integers(20, 300))}
        for number in range(count)
    ]


@st.composite
def own_tasks(draw: st.DrawFn, identifier: str) -> dict[str, Any]:
    task: dict[str, Any] = {
        "id": identifier,
        "title": f"Task {identifier}",
        "area": draw(st.sampled_from(AREAS)),
        "stage": draw(st.sampled_from(STAGES)),
        "strain": draw(st.sampled_from(STRAINS)),
        "minutes": draw(st.integers(2, 30)),
        "pin": draw(st.sampled_from(("auto",) * 7 + ("always", "more", "less", "never"))),
        "divisibility": draw(st.sampled_from(("fine", "sectioned", "whole"))),
    }
    if draw(st.booleans()):
        task |= {"passages": draw(own_passages()), "manner": "slowly", "done_when": "twice in a row"}
    if draw(st.booleans()):
        task["smallest_chunk_seconds"] = draw(st.sampled_from((60, 120, 180, 600)))
    if draw(st.booleans()):
        task["set_up_seconds"] = draw(st.sampled_from((0, 20, 90)))
    if draw(st.integers(0, 4)) == 0:
        task["due"] = draw(st.sampled_from(DUE))
    return task


@st.composite
def catalogue_tasks(draw: st.DrawFn, identifier: str) -> dict[str, Any]:
    return {
        "id": identifier,
        "exercise": draw(st.sampled_from(EXERCISES)),
        "minutes": draw(st.integers(3, 20)),
        "stage": draw(st.sampled_from(STAGES)),
        "cadence_days": draw(st.integers(1, 7)),
    }


@st.composite
def days(draw: st.DrawFn) -> dict[str, Any]:
    """Circumstances: no time named, some minutes, or several windows; energy, focus, quiet, instrument."""
    day: dict[str, Any] = {
        "energy": draw(st.sampled_from(("usual", "usual", "low"))),
        "focus": draw(st.sampled_from(("usual", "usual", "low"))),
        "quiet": draw(st.integers(0, 5)) == 0,
        "instrument_at_hand": draw(st.integers(0, 5)) != 0,
    }
    kind = draw(st.sampled_from(("nothing", "minutes", "windows")))
    if kind == "minutes":
        day["minutes"] = draw(st.integers(2, 90))
    if kind == "windows":
        lengths = draw(st.lists(st.integers(3, 50), min_size=1, max_size=4))
        day["windows"] = [{"minutes": minutes} for minutes in lengths]
    return day


@st.composite
def practice_requests(draw: st.DrawFn, most_tasks: int = 9) -> dict[str, Any]:
    """A request as a program would send it, with one block for each three tasks."""
    names = [f"t{number}" for number in range(draw(st.integers(1, most_tasks)))]
    tasks = [draw(own_tasks(name) | catalogue_tasks(name)) for name in names]
    blocks = [
        {"id": f"b{start}", "title": f"Block {start}", "area": "technique", "tasks": tasks[start : start + 3]}
        for start in range(0, len(tasks), 3)
    ]
    request: dict[str, Any] = {
        "instrument": draw(st.sampled_from(("piano", "piano", "snare-drum"))),
        "date": DAY,
        "routine": {"blocks": blocks},
        "circumstances": draw(days()),
        "history": [
            {"task": draw(st.sampled_from(names)), "date": draw(st.sampled_from(DATES)), "units": ["p1"]}
            for _ in range(draw(st.integers(0, 3)))
        ],
    }
    if draw(st.integers(0, 4)) == 0:
        request["policy"] = {"seconds_per_task": draw(st.sampled_from((120, 200, 600)))}
    return request
