"""Answers of the engine to a few requests that between them have everything a plan can have."""

import json
from functools import cache
from typing import Any

from bagatelle import Instruments, compress, decode_request
from bagatelle.model.plan import CompressionAnswer


def _task(name: str, area: str, minutes: int, **more: Any) -> dict[str, Any]:
    return {"id": name, "title": name.title(), "area": area, "minutes": minutes, "stage": "refining", **more}


def _passages(*seconds: int) -> list[dict[str, Any]]:
    return [
        {"id": f"p{number}", "label": f"passage {number}", "seconds": length}
        for number, length in enumerate(seconds)
    ]


ROUTINE = {
    "blocks": [
        {
            "title": "Body and sound",
            "tasks": [
                _task("long-notes", "warm-up", 10, strain="low", smallest_chunk_seconds=120),
                _task("octaves", "technique", 15, strain="moderate", passages=_passages(60, 75, 90)),
                _task("thirds", "technique", 15, strain="low", passages=_passages(50, 55, 65, 80)),
            ],
        },
        {
            "title": "Pieces",
            "tasks": [
                _task("barcarolle", "repertoire", 30, strain="low", passages=_passages(100, 140, 120, 150)),
                _task("march", "repertoire", 30, strain="moderate", passages=_passages(90, 85), stage="new"),
                _task("figured-bass", "harmony", 20, strain="none", smallest_chunk_seconds=240),
            ],
        },
    ]
}

DAYS: dict[str, dict[str, Any]] = {
    "a quarter": {},
    "one long window": {"minutes": 60},
    "three windows": {"windows": [{"minutes": 9}, {"minutes": 14}, {"minutes": 8}]},
    "ten minutes": {"minutes": 10},
}


@cache
def real_answer(day: str) -> CompressionAnswer:
    """The engine's answer to the routine on that day."""
    request = {"routine": ROUTINE, "circumstances": DAYS[day], "measure_ladder": True}
    return compress(decode_request(json.dumps(request).encode()), Instruments.none())
