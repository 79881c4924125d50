"""A plugin that is begun is whole and right at once; where it cannot be, nothing is written."""

import json
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from bagatelle.command.main import main
from bagatelle.contract import CONTRACT_VERSION, ENTRY_POINT_GROUP
from bagatelle.kit.beginning import BeginningError, begin_plugin
from bagatelle.kit.checking import check_project, read_ids
from bagatelle.kit.identifiers import Listing
from hypothesis import given
from hypothesis import strategies as st
from packaging.requirements import Requirement
from packaging.utils import is_normalized_name

NAMES = st.from_regex(r"[a-z][a-z0-9]{0,6}(-[a-z0-9]{1,6}){0,3}", fullmatch=True)


def names_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["tin-whistle", "x", "oboe2-d-amore", "class", "a" * 40])
def test_it_passes_all_checks_at_once(tmp_path: Path, name: str) -> None:
    (report,) = check_project(str(begin_plugin(name, tmp_path)))
    assert report.is_right, report
    assert (report.name, report.instruments, report.exercises) == (name, (name,), (f"{name}.held-notes",))


def test_it_is_a_whole_distribution(tmp_path: Path) -> None:
    made = begin_plugin("tin-whistle", tmp_path)
    assert made == tmp_path / "bagatelle-tin-whistle"
    assert [path.name for path in tmp_path.iterdir()] == ["bagatelle-tin-whistle"]
    package = "bagatelle_tin_whistle"
    assert names_in(made) == {
        "LICENSE",
        "README.md",
        "ids.txt",
        "pyproject.toml",
        "tests/test_plugin.py",
        *(f"{package}/{name}" for name in ("__init__.py", "plugin.py", "py.typed")),
        *(f"{package}/texts/{name}.json" for name in ("en", "en-US")),
    }
    project = tomllib.loads((made / "pyproject.toml").read_text())["project"]
    assert is_normalized_name(project["name"])
    assert project["entry-points"][ENTRY_POINT_GROUP] == {"tin-whistle": f"{package}.plugin"}
    (needed,) = map(Requirement, project["dependencies"])
    assert needed.name == "bagatelle"
    assert needed.specifier.contains(metadata.version("bagatelle"))
    assert "license" not in project
    texts = json.loads((made / package / "texts" / "en.json").read_text())
    assert texts["tin-whistle.name"] == "Tin whistle"
    assert f"return {CONTRACT_VERSION}\n" in (made / package / "plugin.py").read_text()


def test_its_listing_holds_no_id_that_was_never_released(tmp_path: Path) -> None:
    assert read_ids(begin_plugin("tin-whistle", tmp_path) / "ids.txt") == Listing()


def test_its_code_is_as_tidy_as_ours(tmp_path: Path) -> None:
    made = begin_plugin("tin-whistle", tmp_path)
    ruff = str(Path(sys.executable).with_name("ruff"))
    for command in ("check --select=D1,E,F,I,UP --ignore=D103", "format --check"):
        options = ["--isolated", "--no-cache", "--config=line-length=110"]
        done = subprocess.run(
            [ruff, *command.split(), *options, "."], cwd=made, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    "name",
    [
        "",
        "Tin",
        "tin_whistle",
        "-tin",
        "tin-",
        "tin--whistle",
        "1st",
        "tin whistle",
        "../tin",
        "flöte",
        "a" * 41,
    ],
)
def test_a_name_that_will_not_do(tmp_path: Path, name: str) -> None:
    with pytest.raises(BeginningError, match="accepted: lower-case letters"):
        begin_plugin(name, tmp_path)
    assert list(tmp_path.iterdir()) == []


@given(NAMES)
def test_a_name_with_a_slash_or_a_blank_leads_nowhere(name: str) -> None:
    for wrong in (f"{name}/{name}", f"{name} ", f"{name}\n", f".{name}"):
        with pytest.raises(BeginningError, match="accepted"):
            begin_plugin(wrong, Path("/nowhere"))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("piano", "taken by the installed plugin 'piano'"),
        ("snare-drum", "taken by the installed plugin 'snare-drum'"),
        ("engine", "Bagatelle's own name"),
        ("pytest", "there is a package bagatelle_pytest already"),
    ],
)
def test_a_name_that_is_taken(tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(BeginningError, match=words):
        begin_plugin(name, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_there_stays_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "bagatelle-kazoo").mkdir()
    with pytest.raises(BeginningError, match="exists already"):
        begin_plugin("kazoo", tmp_path)
    assert names_in(tmp_path) == set()


@pytest.mark.parametrize("into", ["absent", "file"])
def test_a_place_that_is_no_folder(tmp_path: Path, into: str) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(BeginningError, match="is no folder"):
        begin_plugin("kazoo", tmp_path / into)
    assert names_in(tmp_path) == {"file"}


def test_what_fails_half_way_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "touch", full)  # the last thing that is written
    with pytest.raises(BeginningError, match="can't be written: No space left on device"):
        begin_plugin("kazoo", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_the_command_begins_checks_and_lists(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plugin", "new", "kazoo", "--into", str(tmp_path)]) == 0
    made = tmp_path / "bagatelle-kazoo"
    assert capsys.readouterr().out == f"Made {made}. Next: bagatelle plugin check {made}\n"
    assert main(["plugin", "check", str(made)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("kazoo is right: 13 checks of 1 exercise in 2 locales, ")
    assert said.count("\n") == 1
    assert main(["plugin", "ids", str(made)]) == 0
    assert capsys.readouterr().out == "kazoo\nkazoo.held-notes\n"
    assert main(["plugin", "new", "kazoo", "--into", str(tmp_path)]) == 1
    assert "exists already" in capsys.readouterr().err
