"""Broken plugins, really installed, all at once and beside a right one: each is left out with its reason."""

from collections.abc import Iterator

import pytest
from bagatelle.catalogue import Instruments, PluginReport, load_instruments

from tests.broken_plugins import BROKEN, FAILING, install

RIGHT = "piano"


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Instruments]:
    folder = tmp_path_factory.mktemp("broken")
    install(folder, [*BROKEN, *FAILING])
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        yield load_instruments()


def report_of(loaded: Instruments, name: str) -> PluginReport:
    (report,) = [each for each in loaded.plugins if each.name == name]
    return report


@pytest.mark.parametrize("name", BROKEN)
def test_one_that_is_left_out_with_its_reason(loaded: Instruments, name: str) -> None:
    report = report_of(loaded, name)
    assert report.status == "left out"
    assert report.reason is not None
    assert BROKEN[name].reason in report.reason


@pytest.mark.parametrize("name", [RIGHT, *FAILING])
def test_one_that_is_loaded(loaded: Instruments, name: str) -> None:
    assert report_of(loaded, name).status == "loaded"
    assert loaded.instrument(name) is not None


def test_what_is_left_out_leaves_nothing_behind(loaded: Instruments) -> None:
    named = {instrument.id for instrument in loaded.instruments}
    assert named >= {RIGHT, *FAILING}
    assert not named & set(BROKEN)
