"""What wheels and source distributions carry: all files of the package; for the service what lies beside it too."""

from pathlib import Path

import pytest

from tests.architecture.source_tree import DISTRIBUTIONS, PLUGINS, ROOT, own_files
from tests.packaging.building import names_in_source_distribution, names_in_wheel, text_in_wheel

PACKAGES = {
    "shared": ("bagatelle", "bagatelle_pytest"),
    "service": ("bagatelle_service",),
    **{folder: (f"bagatelle_{Path(folder).name}",) for folder in PLUGINS},
}
"""Of each distribution its packages; the first gives its archives their name."""
BUNDLE = "bagatelle_service/_bundled"

pytestmark = pytest.mark.xdist_group("packaging")  # they share one build


def files_of_package(folder: str) -> set[str]:
    packages = [ROOT / folder / package for package in PACKAGES[folder]]
    return {
        path.relative_to(ROOT / folder).as_posix()
        for path in own_files()
        if any(path.is_relative_to(package) for package in packages)
    }


def bundled_files() -> set[str]:
    return {
        f"{BUNDLE}/{path.relative_to(ROOT).as_posix()}"
        for path in own_files()
        if path.relative_to(ROOT).parts[0] in ("migrations", "openapi")
    }


def wheel_of(built: Path, folder: str) -> Path:
    (wheel,) = built.glob(f"{PACKAGES[folder][0]}-*.whl")
    return wheel


def source_of(built: Path, folder: str) -> Path:
    (archive,) = built.glob(f"{PACKAGES[folder][0]}-*.tar.gz")
    return archive


@pytest.mark.parametrize("folder", DISTRIBUTIONS)
def test_the_wheel_holds_its_package_and_nothing_else(built: Path, folder: str) -> None:
    wheel = wheel_of(built, folder)
    names = {name for name in names_in_wheel(wheel) if ".dist-info/" not in name}
    assert names == files_of_package(folder) | (bundled_files() if folder == "service" else set())


@pytest.mark.parametrize("folder", DISTRIBUTIONS)
def test_the_source_distribution_holds_what_a_wheel_is_made_of(built: Path, folder: str) -> None:
    names = names_in_source_distribution(source_of(built, folder))
    wanted = {*files_of_package(folder), "pyproject.toml", "README.md", "LICENSE"}
    assert wanted | (bundled_files() if folder == "service" else set()) <= names


def test_the_service_carries_migrations_contract_and_docs(built: Path) -> None:
    names = names_in_wheel(wheel_of(built, "service"))
    assert f"{BUNDLE}/migrations/env.py" in names
    assert any(name.startswith(f"{BUNDLE}/migrations/versions/0001") for name in names)
    assert f"{BUNDLE}/openapi/v1.json" in names
    assert {"bagatelle_service/docs_assets/docs.html", "bagatelle_service/demo/piano.json"} <= names


@pytest.mark.parametrize("folder", DISTRIBUTIONS)
def test_the_wheel_says_how_it_is_found(built: Path, folder: str) -> None:
    wheel = wheel_of(built, folder)
    (entry_points,) = (name for name in names_in_wheel(wheel) if name.endswith("/entry_points.txt"))
    kinds = {
        "shared": "[console_scripts]",
        "service": "[bagatelle.commands]",
    }
    assert kinds.get(folder, "[bagatelle.instruments]") in text_in_wheel(wheel, entry_points)
