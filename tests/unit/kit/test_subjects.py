"""Where a plugin is found: in a project folder, below `src`, or installed."""

import sys
from pathlib import Path

import pytest
from bagatelle.kit.checking import check_project
from bagatelle.kit.subject import SubjectError

from tests.unit.kit.projects import Edit, at_import, failed, in_material, project, reasons

FINDABLE = "import time; time.time()"


def test_a_package_below_src(tmp_path: Path) -> None:
    made = project(
        tmp_path, [Edit('packages = ["', 'packages = ["src/', "pyproject.toml"), at_import(FINDABLE)]
    )
    (made / "src").mkdir()
    (made / "bagatelle_kazoo").rename(made / "src" / "bagatelle_kazoo")
    (report,) = check_project(str(made))
    assert failed(report) == ["purity"]
    assert reasons(report, "purity")[0].startswith("import: clock (time) in plugin.py, line ")


def test_an_entry_point_that_names_an_object(tmp_path: Path) -> None:
    made = project(tmp_path, [Edit('kazoo.plugin"', 'kazoo.plugin:PLUGIN"', "pyproject.toml")])
    with (made / "bagatelle_kazoo" / "plugin.py").open("a") as code:
        code.write("\n\nimport sys\n\nPLUGIN = sys.modules[__name__]\n")
    (report,) = check_project(str(made))
    assert report.is_right, report


def test_an_installed_one_is_watched_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Installed by hand: a distribution's `entry_points.txt` beside its `METADATA`, on each process's path."""
    made = project(tmp_path, [at_import(FINDABLE), in_material("import bagatelle.model.text")])
    place = tmp_path / "site"
    information = place / "bagatelle_kazoo-0.3.dist-info"
    information.mkdir(parents=True)
    (information / "METADATA").write_text("Metadata-Version: 2.1\nName: bagatelle-kazoo\nVersion: 0.3\n")
    (information / "entry_points.txt").write_text("[bagatelle.instruments]\nkazoo = bagatelle_kazoo.plugin\n")
    (made / "bagatelle_kazoo").rename(place / "bagatelle_kazoo")
    monkeypatch.syspath_prepend(place)
    monkeypatch.setenv("PYTHONPATH", str(place), prepend=":")
    (report,) = check_project("kazoo")
    assert "bagatelle_kazoo" not in sys.modules
    assert failed(report) == ["imports", "purity"]
    assert reasons(report, "purity")[0].startswith("import: clock (time) in plugin.py, line ")


def test_a_folder_that_hides_an_installed_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("piano", "kazoo"):
        (tmp_path / name).mkdir()
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SubjectError, match=r"a plugin 'piano' is installed, and this folder hides it"):
        check_project("piano")
    with pytest.raises(
        SubjectError, match=r"^kazoo/pyproject.toml can't be read: No such file or directory$"
    ):
        check_project("kazoo")


@pytest.mark.parametrize(
    "value", ['"bagatelle kazoo plugin"', '""', '["bagatelle_kazoo.plugin"]', '"kazoo.plugin:"']
)
def test_an_entry_point_that_names_nothing(tmp_path: Path, value: str) -> None:
    made = project(tmp_path, [Edit('"bagatelle_kazoo.plugin"', value, "pyproject.toml")])
    with pytest.raises(SubjectError, match=r"'kazoo': .* \(accepted: a module, or `module:object`\)"):
        check_project(str(made))
