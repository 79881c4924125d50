"""Ask about a plugin in fresh processes: nothing of it is imported here."""

import os
import re
import signal
import subprocess
import sys
import time
from tempfile import TemporaryFile
from typing import IO, Final

import msgspec

from bagatelle.catalogue.faults import Fault
from bagatelle.kit.announcing import Step
from bagatelle.kit.checks import Outcome
from bagatelle.kit.examined import Question
from bagatelle.kit.own_files import OwnFiles
from bagatelle.kit.subject import Subject, places_of

ANSWER_SECONDS: Final = 30
"""So long may one question take."""
PATIENCE_SECONDS: Final = 300
"""And all of them."""
_LOOK_SECONDS: Final = 0.5
_LAST_WORDS: Final = 300
"""So much is repeated of what a process said before it ended."""
_STACK: Final = re.compile(r"^(?:Fatal Python error: .*\n+)?(?:Current thread|Thread) 0x", re.MULTILINE)
"""How `faulthandler` begins, which the process has on."""
_FRAME: Final = re.compile(r'^  File "(.*)", line (\d+) in ', re.MULTILINE)


def asked_in_a_process(question: Question, hash_seed: int) -> Outcome:
    """Start a process, ask it one question, and return what it saw.

    :param hash_seed: for strings and all that hangs on their hashes, such as the order of a set.
    """
    command = [sys.executable, "-P", "-m", "bagatelle.kit"]
    if question.watched:
        command.insert(1, "-B")  # Python's own files beside what it imports are not the plugin's writing
    with TemporaryFile() as asked, TemporaryFile() as answers, TemporaryFile() as errors:
        asked.write(msgspec.json.encode(question))
        asked.seek(0)
        with subprocess.Popen(
            command,
            stdin=asked,
            stdout=answers,
            stderr=errors,
            env=os.environ | {"PYTHONHASHSEED": str(hash_seed)},
        ) as process:
            try:
                limit = _limit_passed(process, answers)
            finally:
                process.kill()
        last = _last(answers)
        if isinstance(last, Outcome) and limit is None:
            return last
        step = last if isinstance(last, Step) else Step("plugin")
        ending = limit or f"the process {_ended(process.returncode)} without an answer"
        return _lost(step, ending, _read(errors).decode(errors="replace"), question.subject)


def _limit_passed(process: "subprocess.Popen[bytes]", answers: IO[bytes]) -> str | None:
    """Wait for the end of a process; say which limit it passed, after asking it where it stands."""
    begun = heard = time.monotonic()
    size = 0
    while True:
        try:
            process.wait(_LOOK_SECONDS)
        except subprocess.TimeoutExpired:
            now = time.monotonic()
        else:
            return None
        grown = os.fstat(answers.fileno()).st_size
        if grown != size:
            size, heard = grown, now
        if now - heard > ANSWER_SECONDS or now - begun > PATIENCE_SECONDS:
            _ask_for_its_stack(process)
            if now - heard > ANSWER_SECONDS:
                return f"no answer within {ANSWER_SECONDS} seconds"
            return f"not all answers within {PATIENCE_SECONDS} seconds"


def _ask_for_its_stack(process: "subprocess.Popen[bytes]") -> None:
    if os.name == "posix":
        process.send_signal(signal.SIGUSR1)
        time.sleep(_LOOK_SECONDS)


def _last(answers: IO[bytes]) -> Step | Outcome | None:
    lines = _read(answers).splitlines()
    try:
        return msgspec.json.decode(lines[-1], type=Step | Outcome) if lines else None
    except msgspec.DecodeError:
        return None


def _read(file: IO[bytes]) -> bytes:
    file.seek(0)
    return file.read()


def _ended(code: int) -> str:
    return f"ended with exit code {code}" if code >= 0 else f"was ended by {signal.Signals(-code).name}"


def _lost(step: Step, ending: str, said: str, subject: Subject) -> Outcome:
    own_files = OwnFiles(places_of(subject))
    stack = _STACK.search(said)
    words = said[: stack.start() if stack else None].strip()[-_LAST_WORDS:]
    frames = _FRAME.findall(said[stack.start() :]) if stack else []
    line = next(filter(None, (own_files.line(file, int(number)) for file, number in frames)), None)
    place = f", in {line}" if line else ""
    settings = f" (with {step.in_words})" if step.in_words else ""
    reason = f"{ending}{place}{settings}{f': {words}' if words else ''}"
    return Outcome(faults={"loading": [Fault(step.what, reason)]})
