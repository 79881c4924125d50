"""The process that a plugin is asked in may end or hang, and it is said what was asked and where it stood."""

import time
from pathlib import Path

import pytest
from bagatelle.kit import children

from tests.unit.kit.projects import Edit, at_import, failed, in_material, reasons, report_of

AT_120 = 'if settings["bpm"] == 120: '
MATERIAL = "bagatelle_material of kazoo.held-notes: "


def said(folder: Path, *edits: Edit) -> str:
    report = report_of(folder, *edits)
    assert failed(report) == ["loading"]
    assert "settings" in report.not_checked
    (reason,) = reasons(report, "loading")
    return reason


def test_warnings_that_are_errors_are_no_plugins_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONWARNINGS", "error")
    assert report_of(tmp_path).is_right


def test_a_hook_that_ends_its_process(tmp_path: Path) -> None:
    assert said(tmp_path, in_material(f"{AT_120}import os; print('no reed'); os._exit(3)")) == (
        f"{MATERIAL}the process ended with exit code 3 without an answer "
        '(with beats 4, bpm 120, notes ["C","D","E","F","G"]): no reed'
    )


def test_a_hook_that_breaks_python(tmp_path: Path) -> None:
    edit = Edit("    folder = files(", "    import ctypes; ctypes.string_at(0)\n    folder = files(")
    reason = said(tmp_path, edit)
    assert reason.startswith(
        "bagatelle_texts: the process was ended by SIGSEGV without an answer, in plugin.py, line "
    )
    assert "Fatal" not in reason


@pytest.mark.parametrize(
    ("edit", "beginning", "settings"),
    [
        (at_import("while True: pass"), "import: no answer within 1 seconds, in plugin.py, line ", ""),
        (in_material(f"{AT_120[:-2]} and not print():\n        while True: pass"), MATERIAL, ", bpm 120, "),
        (in_material("import time; time.sleep(60)"), MATERIAL, ", bpm 60, "),
    ],
)
def test_an_answer_that_never_comes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, edit: Edit, beginning: str, settings: str
) -> None:
    monkeypatch.setattr(children, "ANSWER_SECONDS", 1)
    reason = said(tmp_path, edit)
    assert reason.startswith(beginning)
    assert "no answer within 1 seconds, in plugin.py, line " in reason
    assert settings in reason


def test_answers_that_take_too_long_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(children, "PATIENCE_SECONDS", 1)
    start = time.monotonic()
    reason = said(tmp_path, in_material("import time; time.sleep(0.1)"))
    assert f"{MATERIAL}not all answers within 1 seconds, in plugin.py, line " in reason
    assert time.monotonic() - start < 30
