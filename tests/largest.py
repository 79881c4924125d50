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


def like_tasks_request(windows: int, unit_seconds: int, *, alike: bool, straining: bool) -> dict[str, Any]:
    """Return a request of 200 tasks that hardly differ: what they gain alike, a search has to count out.

    Parameters
    ----------
    windows
        How many, of 25 or, where they are few, 45 minutes.
    unit_seconds
        Of each of the 40 passages of each task.
    alike
        Whether all tasks are as long.
    straining
        Whether every other task strains, with warm-ups and tone work among the others.
    """
    areas = ("warm-up", "technique", "repertoire", "tone") if straining else ("repertoire",)
    passages = [{"id": f"p{place}", "label": f"line {place}", "seconds": unit_seconds} for place in range(40)]
    tasks = [
        {
            "id": f"t{number}",
            "title": f"Task {number}",
            "area": areas[number % len(areas)],
            "stage": "maintaining",
            "minutes": 40 if alike else 10 + number * 7 % 50,
            "strain": "high" if straining and number % 3 else "low",
            "manner": "slowly",
            "done_when": "clean",
            "passages": passages,
        }
        for number in range(BLOCKS * TASKS_A_BLOCK)
    ]
    blocks = [
        {"id": f"b{first}", "title": f"Block {first}", "tasks": tasks[first : first + TASKS_A_BLOCK]}
        for first in range(0, len(tasks), TASKS_A_BLOCK)
    ]
    minutes = 25 if windows > WINDOWS / 2 else 45
    return {
        "instrument": "piano",
        "date": DAY,
        "routine": {"blocks": blocks},
        "circumstances": {"windows": [{"minutes": minutes}] * windows},
    }
