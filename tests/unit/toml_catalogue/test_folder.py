"""A folder of catalogues: each file is loaded, or left out with its lines."""

import tomllib
from pathlib import Path

import jsonschema_rs
import pytest
from bagatelle.catalogue.loading import load_instruments
from bagatelle.toml_catalogue import catalogue_files, form_schema

from tests.unit.toml_catalogue.kazoo import KAZOO


def test_each_file_is_a_plugin_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "kazoo.toml").write_text(KAZOO)
    (tmp_path / "comb.toml").write_text(KAZOO.replace('id = "kazoo"', 'id = "comb"\nversion = "7"'))
    (tmp_path / "broken.toml").write_text(KAZOO.replace('area = "tone"', 'area = "tones"'))
    (tmp_path / "notes.txt").write_text("nothing")
    instruments = load_instruments(entry_points=catalogue_files(tmp_path))
    assert [(report.name, report.status, report.version) for report in instruments.plugins] == [
        ("broken.toml", "left out", "unknown"),
        ("comb.toml", "loaded", "7"),
        ("kazoo.toml", "loaded", "1"),
    ]
    line = KAZOO[: KAZOO.index('area = "tone"')].count("\n") + 1
    assert str(instruments.plugins[0].reason).startswith(f"broken.toml, line {line}: /proposal/0/area")


def test_two_files_of_one_instrument_are_told_apart(tmp_path: Path) -> None:
    for name in ("one.toml", "two.toml"):
        (tmp_path / name).write_text(KAZOO)
    first, second = load_instruments(entry_points=catalogue_files(tmp_path)).plugins
    assert first.status == "loaded"
    assert "the plugin 'one.toml' has it already" in str(second.reason)


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        catalogue_files(tmp_path / "absent")


def test_the_published_schema_takes_what_is_taken_and_refuses_what_is_refused() -> None:
    validator = jsonschema_rs.Draft202012Validator(form_schema())
    assert validator.is_valid(tomllib.loads(KAZOO))
    assert not validator.is_valid(tomllib.loads(KAZOO.replace('area = "tone"', 'area = "tones"')))
    assert not validator.is_valid(tomllib.loads(KAZOO.replace("form = 1", "form = 1\ncolour = 2")))
