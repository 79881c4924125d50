"""`bagatelle plugin check` and `ids`: what they say, and their exit codes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from bagatelle.command.main import main

from tests.unit.kit.projects import Edit, at_import, in_material, project
from tests.unit.toml_catalogue.kazoo import KAZOO

Captured = pytest.CaptureFixture[str]


def test_faults_are_said_with_their_checks(tmp_path: Path, capsys: Captured) -> None:
    made = project(tmp_path, [Edit(', "maximum": 120', ""), in_material("import time; time.time()")])
    assert main(["plugin", "check", str(made)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "kazoo has 2 faults:"
    assert [line.partition(": ")[0] for line in lines[1:]] == ["  purity", "  schemas"]
    assert lines[-1] == (
        "  schemas: kazoo.held-notes: the setting 'bpm' is of type integer and has no maximum"
    )


def test_what_was_not_checked_is_said(tmp_path: Path, capsys: Captured) -> None:
    made = project(tmp_path, [at_import("raise LookupError('no reed')")])
    assert main(["plugin", "check", str(made)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[:2] == [
        "kazoo has 1 fault:",
        "  loading: import: raised LookupError: no reed, in plugin.py, line 20",
    ]
    assert lines[2].startswith("  not checked, as it must be loaded first: imports, import-time, ")
    assert main(["plugin", "ids", str(made)]) == 1
    assert "can't be loaded; bagatelle plugin check says why" in capsys.readouterr().err


def test_an_installed_plugin_by_name(capsys: Captured) -> None:
    assert main(["plugin", "check", "snare-drum"]) == 0
    assert capsys.readouterr().out.startswith("snare-drum is right: 13 checks of ")


@pytest.mark.parametrize("action", ["check", "ids"])
@pytest.mark.parametrize(
    ("files", "named", "words"),
    [
        (
            {},
            "nobody",
            "no plugin 'nobody' is installed, and no folder is called so (installed: ",
        ),
        (
            {},
            "./nobody",
            "nobody is no folder and no catalogue (accepted: a plugin's project folder, a catalogue",
        ),
        ({"pyproject.toml": "[project]"}, "pyproject.toml", "pyproject.toml is no folder and no catalogue"),
        ({"p/x": ""}, "p", "pyproject.toml can't be read: No such file or directory"),
        ({"p/pyproject.toml": "[project"}, "p", "pyproject.toml is no TOML: "),
        ({"p/pyproject.toml": "[project]"}, "p", "has no entry point of the group 'bagatelle.instruments'"),
        ({"p/pyproject.toml": "project = 3"}, "p", "has no entry point of the group 'bagatelle.instruments'"),
    ],
)
def test_where_there_is_nothing_to_check(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: Captured,
    action: str,
    files: dict[str, str],
    named: str,
    words: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, text in files.items():
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_text(text)
    assert main(["plugin", action, named]) == 2
    assert words in capsys.readouterr().err


def test_ids_before_from_files(tmp_path: Path, capsys: Captured) -> None:
    made, before = project(tmp_path), tmp_path / "before.txt"
    before.write_text("kazoo.buzz\n")
    assert main(["plugin", "check", str(made), "--before", str(before)]) == 1
    assert "  ids: kazoo.buzz: was there before and is gone" in capsys.readouterr().out
    more = tmp_path / "more.txt"
    more.write_text("kazoo.buzz -> kazoo.held-notes\n")
    assert main(["plugin", "check", str(made), "--before", str(before), "--before", str(more)]) == 0
    capsys.readouterr()
    assert main(["plugin", "check", str(made), "--before", str(tmp_path / "absent.txt")]) == 2
    assert "absent.txt can't be read: No such file or directory" in capsys.readouterr().err


def test_a_file_that_is_no_wheel(tmp_path: Path, capsys: Captured) -> None:
    made, wheel = project(tmp_path), tmp_path / "kazoo-1-py3-none-any.whl"
    wheel.write_text("no archive")
    assert main(["plugin", "check", str(made), "--before", str(wheel)]) == 2
    assert "can't be read as a wheel" in capsys.readouterr().err


def test_a_catalogue_without_code_is_checked(tmp_path: Path, capsys: Captured) -> None:
    file = tmp_path / "kazoo.toml"
    file.write_text(KAZOO)
    assert main(["plugin", "check", str(file)]) == 0
    assert "kazoo.toml is right" in capsys.readouterr().out
    assert main(["plugin", "ids", str(file)]) == 0
    assert capsys.readouterr().out.split() == ["kazoo", "kazoo.scales", "kazoo.tune"]


def test_what_is_wrong_in_a_catalogue_is_said_with_its_line(tmp_path: Path, capsys: Captured) -> None:
    file = tmp_path / "kazoo.toml"
    file.write_text(KAZOO.replace("daily_cap_seconds = 600\n", ""))
    assert main(["plugin", "check", str(file)]) == 1
    line = KAZOO[: KAZOO.index("[[exercise]]")].count("\n") + 1
    said = f"loading: kazoo.toml, line {line}, kazoo.scales: strain is high, so daily_cap_seconds is needed"
    assert said in capsys.readouterr().out


def test_each_catalogue_of_a_folder_is_checked(tmp_path: Path, capsys: Captured) -> None:
    (tmp_path / "Kazoo.TOML").write_text(KAZOO)
    (tmp_path / "comb.toml").write_text(KAZOO.replace('id = "kazoo"', 'id = "engine"'))
    assert main(["plugin", "check", str(tmp_path)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Kazoo.TOML is right: ")
    line = KAZOO[: KAZOO.index('id = "kazoo"')].count("\n") + 1
    reason = "/instrument/id: 'engine' is the engine's own, take another"
    assert lines[1:3] == ["comb.toml has 1 fault:", f"  loading: comb.toml, line {line}: {reason}"]


def test_what_the_later_checks_find_in_a_catalogue_has_its_line(tmp_path: Path, capsys: Captured) -> None:
    file = tmp_path / "kazoo.toml"
    # 15 notes, two to the beat, at 80 and twice, are 11.25 s: with the pause more than half a minute.
    text = KAZOO.replace("usual_minutes = 5", "usual_minutes = 0.5")
    file.write_text(text.replace('pause_seconds = "played"', "pause_seconds = 40"))
    assert main(["plugin", "check", str(file), "--before", str(_before(tmp_path))]) == 1
    said = capsys.readouterr().out
    line = KAZOO[: KAZOO.index('name = "g-major"')].count("\n")
    assert f"defaults: kazoo.toml, line {line}, kazoo.scales, unit 'g-major': lasts longer by default" in said
    assert "ids: kazoo.buzz: was there before and is gone" in said


def _before(folder: Path) -> Path:
    file = folder / "before.txt"
    file.write_text("kazoo.buzz\n")
    return file


def test_interrupted(tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(subprocess.Popen, "wait", interrupted)
    made = project(tmp_path)
    for action in ("check", "ids"):
        assert main(["plugin", action, str(made)]) == 130
        assert f"bagatelle plugin {action}: interrupted" in capsys.readouterr().err


def test_a_reader_without_the_letters_reads_the_rest(tmp_path: Path) -> None:
    made = project(tmp_path, [at_import("raise LookupError('lo\u00f6se')")])
    done = subprocess.run(
        [sys.executable, "-m", "bagatelle.command.main", "plugin", "check", str(made)],
        env=os.environ | {"PYTHONIOENCODING": "ascii"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert r"raised LookupError: lo\xf6se, in plugin.py" in done.stdout
