"""For authors of plugins: a pytest plugin that makes one test of each check of `bagatelle plugin check`.

A test that asks for the fixture `bagatelle_check` and calls it is run once for each check. What is checked is the
project that the test lies in, or what a fixture `bagatelle_plugin` of one's own returns. Where no test asks,
nothing is done and nothing of `bagatelle` is imported; that is why this is a package of its own.
"""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from bagatelle.kit import CheckReport

_REPORTS = pytest.StashKey[dict[str, "tuple[CheckReport, ...]"]]()


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Make one test of each check."""
    if "bagatelle_check" in metafunc.fixturenames:
        from bagatelle.kit import CHECKS

        metafunc.parametrize("bagatelle_check", list(CHECKS), indirect=True)


@pytest.fixture
def bagatelle_plugin(request: pytest.FixtureRequest) -> str:
    """The project folder that the test lies in, or an installed plugin's name; to be replaced by one's own."""
    for folder in request.path.parents:
        if (folder / "pyproject.toml").is_file():
            return str(folder)
    raise pytest.UsageError(f"no folder above {request.path} has a pyproject.toml")


@pytest.fixture
def bagatelle_check(request: pytest.FixtureRequest, bagatelle_plugin: str | Path) -> Callable[[], None]:
    """Fails, when called, with the faults that one check found."""
    check: str = request.param
    reports = _reports(request.config, str(bagatelle_plugin))

    def judge() -> None:
        faults = [f"{report.name}, {fault}" for report in reports for fault in report.faults[check]]
        if faults:
            pytest.fail("\n".join([f"{check}:", *faults]), pytrace=False)
        unchecked = [report.name for report in reports if check in report.not_checked]
        if unchecked:
            pytest.skip(f"not checked, as it must be loaded first: {', '.join(unchecked)}")

    return judge


def _reports(config: pytest.Config, plugin: str) -> "tuple[CheckReport, ...]":
    """All checks are made at once, for the first test that asks."""
    from bagatelle.kit import check_project

    reports = config.stash.setdefault(_REPORTS, {})
    if plugin not in reports:
        reports[plugin] = check_project(plugin)
    return reports[plugin]
