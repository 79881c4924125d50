"""The requests whose answers are held, and the SHA-256 of each answer's bytes."""

import hashlib
import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import msgspec
from bagatelle import Instruments, compress, decode_request

from tests.bench.routines import generated_request

DIGESTS: Final = Path(__file__).with_name("digests.json")
GENERATED: Final = 60
DAYS: Final[dict[int, dict[str, Any]]] = {
    3: {"energy": "low"},
    6: {"windows": [{"minutes": 6}, {"minutes": 10}, {"minutes": 4}]},
    7: {"quiet": True},
    8: {"windows": [{"minutes": 5}] * 5, "energy": "low", "focus": "low"},
    9: {"instrument_at_hand": False, "minutes": 20},
}
"""What the day gives, by the last digit of a generated request's number; else what it was generated with."""
MEASURED: Final = (4, 5)
"""Generated requests whose ladder is measured too."""


def golden_requests(instruments: Instruments) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each request by name: what the demonstration sends, then generated ones."""
    for name in ("piano", "snare_drum"):
        yield (
            f"demo {name}",
            json.loads(files("bagatelle_service").joinpath(f"demo/{name}.json").read_bytes()),
        )
    for number in range(GENERATED):
        request = generated_request(number, instruments)
        request["circumstances"] = DAYS.get(number % 10, request["circumstances"])
        request["measure_ladder"] = number in MEASURED
        yield f"generated {number:02}", request


def digest_of(request: dict[str, Any], instruments: Instruments) -> str:
    """SHA-256, in hexadecimal, of the bytes that the service would send."""
    answer = compress(decode_request(json.dumps(request).encode()), instruments)
    return hashlib.sha256(msgspec.json.encode(answer)).hexdigest()


def digests_text(instruments: Instruments) -> str:
    """What the committed file should hold."""
    digests = {name: digest_of(request, instruments) for name, request in golden_requests(instruments)}
    return json.dumps(digests, indent=1) + "\n"
