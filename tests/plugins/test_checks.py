"""Our own plugins pass what authors' plugins are held to, each check by its name."""

from collections.abc import Callable

import pytest

from tests.architecture.source_tree import DISTRIBUTIONS, ROOT

PLUGINS = [folder for folder in DISTRIBUTIONS if folder.startswith("plugins/")]

pytestmark = pytest.mark.xdist_group("checks of our own plugins")  # all checks of one are made at once


@pytest.fixture(params=PLUGINS)
def bagatelle_plugin(request: pytest.FixtureRequest) -> str:
    return str(ROOT / request.param)


def test_it_passes(bagatelle_check: Callable[[], None]) -> None:
    bagatelle_check()


def test_there_are_some() -> None:
    assert len(PLUGINS) >= 2
