"""Ask about a plugin in fresh processes: nothing of it is imported here."""

import os
import subprocess
import sys
from typing import Final

import msgspec

from bagatelle.catalogue.faults import Fault
from bagatelle.kit.checks import Outcome
from bagatelle.kit.examined import Question

PATIENCE_SECONDS: Final = 300
_LAST_WORDS: Final = 300
"""So much is repeated of what a process said before it ended."""


def asked_in_a_process(question: Question, hash_seed: int) -> Outcome:
    """Start a process, ask it one question, and return what it saw.

    :param hash_seed: for strings and all that hangs on their hashes, such as the order of a set.
    """
    command = [sys.executable, "-P", "-m", "bagatelle.kit.examined"]
    if question.watched:
        command.insert(1, "-B")  # Python's own files beside what it imports are not the plugin's writing
    try:
        done = subprocess.run(
            command,
            input=msgspec.json.encode(question),
            capture_output=True,
            env=os.environ | {"PYTHONHASHSEED": str(hash_seed)},
            timeout=PATIENCE_SECONDS,
            check=False,
        )
        return msgspec.json.decode(done.stdout, type=Outcome)
    except subprocess.TimeoutExpired:
        return _lost(f"no answer within {PATIENCE_SECONDS} seconds")
    except msgspec.DecodeError:
        last = done.stderr.decode(errors="replace").strip()[-_LAST_WORDS:]
        return _lost(f"the process ended with exit code {done.returncode} and without an answer: {last}")


def _lost(reason: str) -> Outcome:
    return Outcome(faults={"loading": [Fault("plugin", reason)]})
