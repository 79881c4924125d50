"""All distributions, built once."""

from pathlib import Path

import pytest

from tests.packaging.building import build_all


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheels and the source distributions."""
    folder = tmp_path_factory.mktemp("built")
    build_all(folder)
    return folder
