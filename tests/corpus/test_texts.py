"""The kept text of every plan is the plan of today, and the verifier accepts it."""

import json
from difflib import unified_diff
from pathlib import Path

import pytest
from bagatelle.command.main import main
from bagatelle.verify import verify_answer

from tests.corpus.worked_routine import FOLDER, answer_of, answers_path, names, routine, text_of, text_path

pytestmark = pytest.mark.xdist_group("corpus")  # so that each plan is made once

STALE = "The plan changed. Read the difference; if it is meant: python -m tests.corpus"


def test_there_are_at_least_forty() -> None:
    # The issue that asked for them; and every pair of kinds of hard day needs its own.
    assert len(names()) >= 40


@pytest.mark.parametrize("name", names())
def test_the_text_is_fresh(name: str) -> None:
    path = text_path(name)
    kept = path.read_text(encoding="utf-8") if path.exists() else ""
    difference = list(
        unified_diff(kept.splitlines(), text_of(name).splitlines(), path.name, "as planned now", lineterm="")
    )
    assert not difference, "\n".join([STALE, *difference])


@pytest.mark.parametrize("name", names())
def test_the_verifier_accepts_the_plan(name: str) -> None:
    assert verify_answer(answer_of(name)).faults == ()


def test_the_command_prints_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = names()[0]
    file = tmp_path / "routine.json"
    file.write_bytes(routine(name).body)
    assert main(["plan", str(file)]) == 0
    assert capsys.readouterr().out == text_of(name)


def test_no_file_is_left_over() -> None:
    wanted = {
        path for name in names() for path in (FOLDER / f"{name}.json", text_path(name), answers_path(name))
    }
    assert set(FOLDER.iterdir()) - wanted == set()


def test_no_two_routines_are_the_same() -> None:
    bodies = [json.dumps(json.loads(routine(name).body), sort_keys=True) for name in names()]
    assert len(set(bodies)) == len(bodies)
