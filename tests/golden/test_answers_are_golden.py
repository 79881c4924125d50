"""Every golden answer has the bytes that it had when it was last looked at, on whatever Python this is.

Where answers were changed on purpose: `python -m tests.golden` writes the digests again.
"""

import json
import os
import subprocess
import sys
from typing import Any

import pytest

from tests.architecture.source_tree import ROOT
from tests.golden.answers import DIGESTS, digest_of, digests_text, golden_requests
from tests.strategies import instruments

REQUESTS = dict(golden_requests(instruments()))


def committed() -> dict[str, str]:
    digests: dict[str, Any] = json.loads(DIGESTS.read_text())
    return digests


@pytest.mark.parametrize("name", REQUESTS)
def test_the_same_bytes_as_ever(name: str) -> None:
    assert digest_of(REQUESTS[name], instruments()) == committed()[name]


def test_nothing_else_is_held() -> None:
    assert committed().keys() == REQUESTS.keys()


@pytest.mark.parametrize("hash_seed", ["1", "20270301"])
def test_another_process_with_another_hash_seed_gives_the_same_bytes(hash_seed: str) -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "tests.golden", "--show"],
        cwd=ROOT,
        env=os.environ | {"PYTHONHASHSEED": hash_seed},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert shown == digests_text(instruments())
