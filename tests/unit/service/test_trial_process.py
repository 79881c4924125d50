"""The process in which plugins are tried is begun before anything of the library is imported."""

import subprocess
import sys

from bagatelle.contract import ENTRY_POINT_GROUP
from bagatelle_service.trial_process import GROUP, TrialProcess, names_allowed, names_to_try

MOST_BYTES = 4096
"""Any socket holds so many (common practice, no source)."""


def test_the_group_is_the_contracts() -> None:
    assert GROUP == ENTRY_POINT_GROUP


def test_nothing_of_the_library_is_imported_for_it() -> None:
    question = "import sys, bagatelle_service.trial_process; print('bagatelle' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", question], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_which_are_tried() -> None:
    assert names_allowed(" ") is None
    assert names_allowed("piano, ,nobody") == ("piano", "nobody")
    assert names_to_try(names_allowed("piano, ,nobody")) == ("piano",)
    assert "piano" in names_to_try(None)


def test_what_it_says_waits_for_no_reader() -> None:
    process = TrialProcess(names_to_try(None))
    try:
        said = b"".join(iter(lambda: process.socket.recv(MOST_BYTES), b""))
        lengths = [int(line.removeprefix("found ")) for line in said.decode().split("\n") if "found" in line]
        assert len(said) < MOST_BYTES < sum(lengths)
        assert [len(process.read(length)) for length in lengths] == lengths
    finally:
        process.give_up()
