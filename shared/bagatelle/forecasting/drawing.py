"""Drawing a day's kind: no generator with a state, only a hash of seed and date, the same on every machine."""

import hashlib
from bisect import bisect_right
from collections.abc import Sequence
from datetime import date
from itertools import accumulate
from typing import Final

_HASH_BITS: Final = 256


def drawn_position(seed: int, day: date, weights: Sequence[int]) -> int:
    """Position in `weights` of the kind that a day is of; whole numbers throughout, so nothing is rounded.

    With h the SHA-256 (FIPS 180-4) of `<seed>:<date>` as a number, the first position at which the added weights
    are over `floor(h * sum / 2^256)`.
    """
    number = int.from_bytes(hashlib.sha256(f"{seed}:{day.isoformat()}".encode("ascii")).digest(), "big")
    added = tuple(accumulate(weights))
    return bisect_right(added, number * added[-1] >> _HASH_BITS)
