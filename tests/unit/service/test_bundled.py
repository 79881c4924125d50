"""The resolver finds the files of every mode of installation."""

from pathlib import Path

import pytest
from bagatelle_service import bundled


def test_in_a_checkout_the_top_level_folders_are_found() -> None:
    root = Path(__file__).parents[3]
    assert bundled.bundled_folder("migrations") == root / "migrations"
    assert bundled.bundled_folder("openapi") == root / "openapi"


def test_a_bundle_in_the_package_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "service" / "bagatelle_service"
    for folder in (package / "_bundled" / "migrations", tmp_path / "migrations"):
        folder.mkdir(parents=True)
    monkeypatch.setattr(bundled, "PACKAGE", package)
    assert bundled.bundled_folder("migrations") == package / "_bundled" / "migrations"


def test_what_is_missing_is_named_with_the_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bundled, "PACKAGE", tmp_path / "service" / "bagatelle_service")
    with pytest.raises(FileNotFoundError, match=r"lacks its migrations: nothing at .*_bundled.* or "):
        bundled.bundled_folder("migrations")
