"""The largest requests that are legal: 40 blocks, 200 tasks, 24 windows, 600 minutes a block, under 1 MiB.

No two tasks are alike, so that no shortcut for twins helps the search. Nothing is random.
"""

import json
from typing import Any, Final

from bagatelle.model.vocabulary import AREAS

BLOCKS: Final = 40
TASKS_A_BLOCK: Final = 5
WINDOWS: Final = 24
BODY_BYTES: Final = 1024 * 1024
DAY: Final = "2027-03-01"

_STAGES: Final = ("new", "learning", "refining", "maintaining")
_STRAINS: Final = ("none", "low", "moderate", "high")
_DUE: Final = (None, None, None, "2027-03-05", "2027-03-12")


def largest_request(*, windows: bool = True, passages: int = 40, history: int = 1500) -> dict[str, Any]:
    """Return the request, as JSON.

    Parameters
    ----------
    windows
        Whether the day is 24 windows of many lengths; else it is one window of 600 minutes.
    passages
        How many passages each task has, at most 100; the body has to stay under 1 MiB.
    history
        How many entries the log has, at most 5000.
    """
    lengths = [{"minutes": 20 + number * 5 / 4} for number in range(WINDOWS)]
    request = {
        "instrument": "piano",
        "date": DAY,
        "routine": {"blocks": [_block(number, passages) for number in range(BLOCKS)]},
        "circumstances": {"windows": lengths} if windows else {"minutes": 600},
        "history": [_entry(number, passages) for number in range(history)],
    }
    size = len(json.dumps(request, separators=(",", ":")).encode())
    if size > BODY_BYTES:
        raise ValueError(
            f"The body has {size} bytes; at most {BODY_BYTES} are legal: ask for fewer passages."
        )
    return request


def _block(number: int, passages: int) -> dict[str, Any]:
    first = number * TASKS_A_BLOCK
    return {
        "id": f"b{number}",
        "title": f"Block {number}",
        "area": AREAS[number % len(AREAS)],
        "minutes": 600,
        "tasks": [_task(first + place, passages) for place in range(TASKS_A_BLOCK)],
    }


def _task(number: int, passages: int) -> dict[str, Any]:
    # 118 to 122 minutes: five in a row make the 600 of a block.
    task: dict[str, Any] = {
        "id": f"t{number}",
        "title": f"Task {number}",
        "minutes": 118 + number % TASKS_A_BLOCK,
        "stage": _STAGES[number % 4],
        "strain": _STRAINS[(number // 4) % 4],
        "cadence_days": 1 + number % 9,
        "set_up_seconds": number % 61,
        "manner": "slowly",
        "done_when": "twice clean",
        "passages": [_passage(number, place) for place in range(passages)],
    }
    due = _DUE[number % len(_DUE)]
    return task | ({"due": due} if due else {})


def _passage(number: int, place: int) -> dict[str, Any]:
    seconds = 20 + (number * 37 + place * 101) % 281
    return {"id": f"p{place}", "label": f"line {place}", "seconds": seconds, "passes": 1}


def _entry(number: int, passages: int) -> dict[str, Any]:
    return {
        "task": f"t{number % (BLOCKS * TASKS_A_BLOCK)}",
        "date": f"2027-02-{1 + number % 28:02}",
        "units": [f"p{number % passages}"],
    }
