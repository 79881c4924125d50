"""The service's wheel and source distribution carry what the service needs beside its code."""

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service"


def build(folder: Path, *options: str) -> None:
    command = [
        sys.executable,
        "-m",
        "build",
        "--no-isolation",
        "--outdir",
        str(folder),
        *options,
        str(SERVICE),
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the source distribution, a wheel from it, and, in a folder of its own, a wheel from the checkout."""
    folder = tmp_path_factory.mktemp("built")
    build(folder)
    build(folder / "direct", "--wheel")
    return folder


def in_wheel(folder: Path) -> dict[str, bytes]:
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist() if ".dist-info/" not in name}


def expected_bundle() -> dict[str, bytes]:
    return {
        f"bagatelle_service/_bundled/{file.relative_to(ROOT).as_posix()}": file.read_bytes()
        for folder in ("migrations", "openapi")
        for file in (ROOT / folder).rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }


def test_a_wheel_carries_migrations_contract_and_assets(built: Path) -> None:
    found = in_wheel(built)
    expected = expected_bundle()
    assert {name: content for name, content in found.items() if "/_bundled/" in name} == expected
    assert any("/versions/0001" in name for name in expected)
    assert {
        "bagatelle_service/docs_assets/docs.html",
        "bagatelle_service/docs_assets/start.js",
    } <= found.keys()
    assert any(name.startswith("bagatelle_service/api/examples/") for name in found)


def test_a_wheel_is_the_same_from_the_checkout_and_from_the_source_distribution(built: Path) -> None:
    assert in_wheel(built) == in_wheel(built / "direct")


def test_a_source_distribution_carries_the_bundle(built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        names = {name.partition("/")[2] for name in opened.getnames()}
    assert expected_bundle().keys() <= names
    assert "hatch_build.py" in names


def test_building_leaves_nothing_in_the_checkout(built: Path) -> None:
    assert built.is_dir()
    assert not (SERVICE / "bagatelle_service" / "_bundled").exists()
    assert not (SERVICE / "dist").exists()
