"""Ids that there were are read from a former wheel, as hatchling builds it."""

import subprocess
import sys
from pathlib import Path

import pytest
from bagatelle.kit.checking import check_project, read_ids
from bagatelle.kit.identifiers import Listing
from bagatelle.kit.subject import SubjectError

from tests.unit.kit.projects import Edit, at_import, failed, project, reasons


def wheel_of(made: Path, target: Path) -> Path:
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(target)]
    done = subprocess.run(command, cwd=made, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = target.glob("*.whl")
    return wheel


def test_what_a_wheel_had_and_the_project_has_no_more(tmp_path: Path) -> None:
    made = project(tmp_path)
    wheel = wheel_of(made, tmp_path / "dist")
    assert read_ids(wheel) == Listing(frozenset({"kazoo", "kazoo.held-notes"}))
    for file in [*made.glob("*.txt"), *made.rglob("*.py"), *made.rglob("*.json")]:
        file.write_text(file.read_text().replace("kazoo.held-notes", "kazoo.long-notes"))
    (alone,) = check_project(str(made))
    assert alone.is_right
    (report,) = check_project(str(made), read_ids(wheel))
    assert failed(report) == ["ids"]
    (reason,) = reasons(report, "ids")
    assert reason.startswith("kazoo.held-notes: was there before and is gone")
    with (made / "ids.txt").open("a") as listing:
        listing.write("kazoo.held-notes -> kazoo.long-notes\n")
    (superseded,) = check_project(str(made), read_ids(wheel))
    assert superseded.is_right


def test_a_wheel_that_cannot_be_loaded(tmp_path: Path) -> None:
    wheel = wheel_of(project(tmp_path, [at_import("raise LookupError")]), tmp_path / "dist")
    with pytest.raises(SubjectError, match="its plugin can't be loaded, so nobody knows its ids"):
        read_ids(wheel)


def test_a_wheel_of_something_else(tmp_path: Path) -> None:
    other = Edit(
        '[project.entry-points."bagatelle.instruments"]', '[project.entry-points."others"]', "pyproject.toml"
    )
    wheel = wheel_of(project(tmp_path, [other]), tmp_path / "dist")
    with pytest.raises(SubjectError, match=r"entry_points\.txt has no entry point of the group"):
        read_ids(wheel)
