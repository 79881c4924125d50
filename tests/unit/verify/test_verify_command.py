"""`bagatelle verify`: exit codes, words and JSON."""

import argparse
import io
import json
import sys
from pathlib import Path

import msgspec
import pytest
from bagatelle.command import verify
from bagatelle.model.plan import CompressionAnswer

from tests.unit.verify.hand_made import ten_minutes


def run(*words: str) -> int:
    parser = argparse.ArgumentParser()
    verify.add_to(parser.add_subparsers())
    arguments = parser.parse_args(["verify", *words])
    code: int = arguments.func(arguments)
    return code


def too_long() -> CompressionAnswer:
    plan = ten_minutes().plan
    first = msgspec.structs.replace(plan.steps[0], seconds=400)
    return CompressionAnswer(plan=msgspec.structs.replace(plan, steps=(first, *plan.steps[1:])))


@pytest.fixture
def right(tmp_path: Path) -> str:
    file = tmp_path / "right.json"
    file.write_bytes(msgspec.json.encode(ten_minutes()))
    return str(file)


@pytest.fixture
def wrong(tmp_path: Path) -> str:
    file = tmp_path / "wrong.json"
    file.write_bytes(msgspec.json.encode(too_long()))
    return str(file)


def test_an_accepted_answer_exits_with_0_and_a_line_a_group(
    right: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(right) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1] == f"{right}: accepted."
    names = [line.split()[0] for line in lines[:-1]]
    assert names == [
        "bounds", "numbers", "windows", "steps", "doses", "order", "rules", "certificate", "alternatives", "ladder",
    ]  # fmt: skip


def test_a_rejected_answer_exits_with_1_and_says_where(
    wrong: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(wrong) == 1
    text = capsys.readouterr().out
    assert "fault steps.seconds at /plan/steps/0/seconds" in text
    assert "is 400; expected 240." in text
    assert "rejected" in text.splitlines()[-1]


def test_the_verdict_as_json(wrong: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(wrong, "--json", "--thorough") == 1
    verdict = json.loads(capsys.readouterr().out)
    assert verdict["accepted"] is False
    codes = [fault["code"] for group in verdict["groups"] for fault in group["faults"]]
    assert "steps.seconds" in codes


def test_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    content = io.BytesIO(msgspec.json.encode(ten_minutes()))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(content))
    assert run("-") == 0


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "No such file or directory"),
        (b"", "truncated"),
        (b'{"plan": 3}', "`$.plan`"),
        (b"\xff{}", "malformed"),
    ],
)
def test_what_cannot_be_read_exits_with_2(
    content: bytes | None, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "answer.json"
    if content is not None:
        file.write_bytes(content)
    assert run(str(file)) == 2
    assert said in capsys.readouterr().err
