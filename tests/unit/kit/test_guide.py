"""The guide for authors can be followed: its plugin is right, its tests pass, its table is the list of checks."""

import re
import subprocess
from pathlib import Path

from bagatelle.command.main import main
from bagatelle.kit.checking import check_project
from bagatelle.kit.checks import CHECKS

from tests.architecture.source_tree import ROOT
from tests.guide import Run, Write, steps_of_the_guide
from tests.unit.kit.test_pytest_plugin import PYTEST


def test_it_begins_with_commands_and_ends_with_them() -> None:
    steps = steps_of_the_guide()
    assert [type(step) for step in steps] == [Run, Write, Write, Write, Run]


def test_its_plugin_is_right_and_its_tests_pass(tmp_path: Path) -> None:
    assert main(["plugin", "new", "tin-whistle", "--into", str(tmp_path)]) == 0
    for step in steps_of_the_guide():
        if isinstance(step, Write):
            file = tmp_path / step.path
            assert file.is_file(), "the guide changes what is there"
            file.write_text(step.text, encoding="utf-8")
    made = tmp_path / "bagatelle-tin-whistle"
    (report,) = check_project(str(made))
    assert report.is_right, report
    done = subprocess.run([*PYTEST, str(made)], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert f"{len(CHECKS) + 2} passed" in done.stdout


def test_its_table_lists_the_checks() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text[text.index("| check | what it holds a plugin to |") :].split("\n\n")[0]
    rows = re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", table, re.MULTILINE)
    assert rows == list(CHECKS.items())
