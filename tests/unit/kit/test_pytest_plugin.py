"""What authors' own tests get: one test for each check, named by it; and nothing where nobody asks."""

import subprocess
import sys
from pathlib import Path

from bagatelle.kit.checks import CHECKS

from tests.unit.kit.projects import Edit, at_import, in_material, project

PYTEST = [
    sys.executable,
    "-m",
    "pytest",
    "-p",
    "bagatelle_pytest",
    "-p",
    "no:cacheprovider",
    "-p",
    "no:xdist",
]


def run_pytest(made: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*PYTEST, *options], cwd=made, capture_output=True, text=True, check=False)


def test_a_new_plugins_tests_pass_one_for_each_check(tmp_path: Path) -> None:
    done = run_pytest(project(tmp_path), "-v")
    assert done.returncode == 0, done.stdout
    for check in CHECKS:
        assert f"tests/test_plugin.py::test_plugin[{check}] PASSED" in done.stdout


def test_a_failure_names_the_check_and_what_is_wrong(tmp_path: Path) -> None:
    made = project(tmp_path, [Edit(', "maximum": 120', ""), in_material("import time; time.time()")])
    done = run_pytest(made, "-rf")
    assert done.returncode == 1
    failures = {line for line in done.stdout.splitlines() if line.startswith("FAILED")}
    assert len(failures) == 2
    assert any("test_plugin[purity]" in line for line in failures)
    assert any("test_plugin[schemas]" in line for line in failures)
    assert "kazoo, kazoo.held-notes: the setting 'bpm' is of type integer and has no maximum" in done.stdout


def test_what_was_not_checked_is_skipped_with_the_reason(tmp_path: Path) -> None:
    made = project(tmp_path, [Edit('family="none"', 'family="zither"')])
    done = run_pytest(made, "-rs")
    assert done.returncode == 1
    assert "not checked, as it must be loaded first: kazoo" in done.stdout
    assert f"1 failed, 2 passed, {len(CHECKS) - 2} skipped" in done.stdout


def test_a_project_without_a_plugin_is_an_error_that_says_so(tmp_path: Path) -> None:
    made = project(tmp_path)
    (made / "pyproject.toml").write_text("[tool.pytest.ini_options]\npythonpath = ['.']\n")
    done = run_pytest(made)
    assert done.returncode == 1
    assert "has no entry point of the group 'bagatelle.instruments'" in done.stdout


def test_where_nobody_asks_nothing_of_bagatelle_is_imported(tmp_path: Path) -> None:
    (tmp_path / "test_other.py").write_text(
        "import sys\n\ndef test_other():\n"
        "    assert [name for name in sys.modules if name.split('.')[0] == 'bagatelle'] == []\n"
    )
    done = run_pytest(tmp_path, "-q")
    assert done.returncode == 0, done.stdout


def test_an_import_that_fails_is_the_only_failure(tmp_path: Path) -> None:
    made = project(tmp_path, [at_import("raise LookupError('no reed')")])
    (made / "tests" / "test_plugin.py").write_text(
        "def test_plugin(bagatelle_check):\n    bagatelle_check()\n"
    )
    done = run_pytest(made, "-rf")
    assert done.stdout.count("FAILED") == 1
    assert "loading:\nkazoo, import: raised LookupError: no reed" in done.stdout
