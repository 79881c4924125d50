"""CP-SAT's answers to the generated days of several windows, stored beside this file.

`python -m tests.outside.windows_of_cp_sat` asks it again, 10 seconds of processor time a case, for those of the
200 cases that are not stored or have changed; it takes about half an hour on one core.
"""

import sys
from pathlib import Path
from typing import Final

from msgspec import Struct, json

from tests.outside.generated_windows import windows_case

CASES: Final = 200
PROCESSOR_SECONDS: Final = 10.0
STORE: Final = Path(__file__).with_name("windows_of_cp_sat.json")


class Stored(Struct, frozen=True):
    """What CP-SAT came to in one case."""

    case: str
    """SHA-256 of the case."""
    worth: int | None
    """Of its best plan; none where it found none."""
    bound: int | None
    """None where it found that there is no plan."""
    proved: bool


def stored() -> dict[int, Stored]:
    """Index of the case -> what is stored."""
    if not STORE.exists():
        return {}
    return json.decode(STORE.read_bytes(), type=dict[int, Stored])


def main() -> int:
    """Ask CP-SAT for what is missing, and store after each."""
    from tests.outside.cp_sat_windows import Model

    answers = stored()
    for index in range(CASES):
        case = windows_case(index)
        fingerprint = case.fingerprint()
        if index in answers and answers[index].case == fingerprint:
            continue
        found = Model(case).solve(PROCESSOR_SECONDS)
        answers[index] = Stored(fingerprint, found.worth, found.bound, found.proved)
        STORE.write_bytes(_lines(answers))
        print(index, answers[index], flush=True)
    return 0


def _lines(answers: dict[int, Stored]) -> bytes:
    """JSON with one case a line."""
    lines = [b'"%d": %s' % (index, json.encode(answers[index])) for index in sorted(answers)]
    return b"{\n" + b",\n".join(lines) + b"\n}\n"


if __name__ == "__main__":
    sys.exit(main())
