"""One version, one Python, and a lock that holds all that is asked for."""

import re

import pytest
from bagatelle.engine.version import ENGINE_VERSION
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.architecture.source_tree import DISTRIBUTIONS, ROOT, pyproject

PIN = re.compile(r"^([a-z0-9-]+)(?:\[[a-z,]+\])?==([^ ;\\]+)(?: ; (.+?))? \\$", re.MULTILINE)
OWN = {pyproject(folder)["project"]["name"] for folder in DISTRIBUTIONS}


def pins() -> dict[str, list[str]]:
    """Each locked name with its versions; a name has several where markers tell them apart."""
    found: dict[str, list[str]] = {}
    for name, version, _ in PIN.findall((ROOT / "requirements.lock").read_text(encoding="utf-8")):
        found.setdefault(name, []).append(version)
    return found


def asked_for() -> list[tuple[str, Requirement]]:
    """Every requirement, with who asks."""
    root = pyproject(".")
    asked = [("tools", text) for text in root["dependency-groups"]["tools"]]
    for folder in DISTRIBUTIONS:
        parts = pyproject(folder)
        asked += [(folder, text) for text in parts["project"].get("dependencies", [])]
        asked += [(folder, text) for text in parts["build-system"]["requires"]]
    return [(who, Requirement(text)) for who, text in asked]


def test_there_is_no_distribution_besides() -> None:
    found = {path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("*/pyproject.toml")}
    found |= {path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("plugins/*/pyproject.toml")}
    assert found == set(DISTRIBUTIONS)


@pytest.mark.parametrize("folder", DISTRIBUTIONS)
def test_every_distribution_has_the_engines_version(folder: str) -> None:
    assert pyproject(folder)["project"]["version"] == ENGINE_VERSION


@pytest.mark.parametrize("folder", [".", *DISTRIBUTIONS])
def test_every_distribution_wants_the_same_python(folder: str) -> None:
    assert pyproject(folder)["project"]["requires-python"] == ">=3.11"


@pytest.mark.parametrize(("who", "requirement"), asked_for(), ids=str)
def test_the_lock_holds_what_is_asked_for(who: str, requirement: Requirement) -> None:
    name = canonicalize_name(requirement.name)
    if name in OWN:
        assert str(requirement.specifier) == f"=={ENGINE_VERSION}", who
        return
    versions = pins().get(name, [])
    assert versions, f"{who} asks for {requirement}, which is not locked: run `make lock`"
    assert all(requirement.specifier.contains(version) for version in versions), (who, requirement, versions)


def test_every_pin_has_its_hashes() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    entries = re.split(r"\n(?=\S)", lock.strip())
    assert len(entries) == sum(map(len, pins().values()))
    assert [entry.split(" ")[0] for entry in entries if "--hash=sha256:" not in entry] == []


def test_every_package_says_that_it_is_typed() -> None:
    packages = [
        package for folder in DISTRIBUTIONS for package in (ROOT / folder).glob("bagatelle*/__init__.py")
    ]
    assert len(packages) == len(DISTRIBUTIONS) + 1  # what pytest loads stands beside `bagatelle`
    assert [path for path in packages if not path.with_name("py.typed").exists()] == []


def test_every_distribution_carries_the_licence_that_it_declares() -> None:
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert licence.startswith("MIT License")
    for folder in DISTRIBUTIONS:
        assert pyproject(folder)["project"]["license"] == "MIT"
        assert (ROOT / folder / "LICENSE").read_text(encoding="utf-8") == licence
