"""A plugin that fails before its data is read is left out with its reason, and everything else is loaded."""

import logging
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from bagatelle.catalogue import Instruments, PluginReport, load_instruments
from bagatelle.catalogue.hooks import HOOKS
from bagatelle.catalogue.loading import accepted_contracts
from bagatelle.contract import CONTRACT_VERSION, InstrumentHooks, Material, hookimpl

from tests.unit.catalogue.sample_plugins import FakeEntryPoint, SamplePlugin, hum, point, renamed


def load_beside_a_right_one(wrong: FakeEntryPoint) -> tuple[Instruments, PluginReport]:
    """Load the wrong plugin between two right ones; return what was loaded and its own report."""
    right = [point(renamed("comb"), "a-comb"), point(renamed("whistle"), "z-whistle")]
    instruments = load_instruments(entry_points=[right[1], wrong, right[0]])
    statuses = {report.name: report.status for report in instruments.plugins}
    assert statuses == {"a-comb": "loaded", "kazoo": "left out", "z-whistle": "loaded"}
    assert [instrument.id for instrument in instruments.instruments] == ["comb", "whistle"]
    return instruments, instruments.plugins[1]


class Unknown(BaseException):
    """Neither an `Exception` nor one of Python's own."""


class SpeechlessError(Exception):
    def __str__(self) -> str:
        raise ValueError("cannot say")


def raising(error: BaseException) -> Callable[[], object]:
    def load() -> object:
        raise error

    return load


def test_a_right_plugin_is_loaded_and_reported() -> None:
    instruments = load_instruments(entry_points=[point(SamplePlugin())])
    (report,) = instruments.plugins
    assert (report.name, report.distribution, report.version) == ("kazoo", "sample-kazoo", "1.2.3")
    assert (report.status, report.reason, report.contract) == ("loaded", None, 1)
    assert report.instruments == ("kazoo",)
    assert report.hash is not None
    assert report.hash.startswith("sha256:")
    assert len(report.hash) == 71


@pytest.mark.parametrize(
    ("error", "reason"),
    [
        (ImportError("no module named reed"), "import: raised ImportError: no module named reed"),
        (SystemExit(3), "import: raised SystemExit: 3"),
        (RecursionError("too deep"), "import: raised RecursionError: too deep"),
        (GeneratorExit("gone"), "import: raised GeneratorExit: gone"),
        (Unknown("odd"), "import: raised Unknown: odd"),
        (SpeechlessError(), "import: raised SpeechlessError"),
    ],
)
def test_one_that_fails_on_import(error: BaseException, reason: str) -> None:
    _, report = load_beside_a_right_one(FakeEntryPoint("kazoo", raising(error)))
    assert report.reason == reason
    assert report.version == "1.2.3"
    assert (report.contract, report.hash, report.instruments) == (None, None, ())


def test_the_keyboard_still_interrupts() -> None:
    with pytest.raises(KeyboardInterrupt):
        load_instruments(entry_points=[FakeEntryPoint("kazoo", raising(KeyboardInterrupt()))])


def test_each_one_left_out_is_one_warning(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO, "bagatelle.catalogue"):
        load_beside_a_right_one(FakeEntryPoint("kazoo", raising(ImportError("no reed"))))
    (record,) = caplog.records
    assert (record.name, record.levelname) == ("bagatelle.catalogue", "WARNING")
    assert "'kazoo'" in record.getMessage()
    assert "no reed" in record.getMessage()


def test_an_entry_point_without_distribution_is_loaded() -> None:
    lone = point(SamplePlugin())
    lone.dist = None
    (report,) = load_instruments(entry_points=[lone]).plugins
    assert (report.status, report.distribution, report.version) == ("loaded", None, None)


def test_broken_metadata_of_a_distribution_stop_nobody() -> None:
    class Broken:
        @property
        def name(self) -> str:
            raise FileNotFoundError("METADATA")

    lone = point(SamplePlugin())
    lone.dist = Broken()
    instruments = load_instruments(entry_points=[lone, point(renamed("comb"), "comb")])
    assert [(each.status, each.version) for each in instruments.plugins] == [
        ("loaded", "1.2.3"),
        ("loaded", None),
    ]


def test_the_host_knows_every_hook_that_is_specified_in_its_order() -> None:
    assert tuple(name for name in vars(InstrumentHooks) if name.startswith("bagatelle_")) == HOOKS


def test_what_is_installed_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The entry points specification: a distribution's `entry_points.txt` beside its `METADATA`."""
    distribution = tmp_path / "sample_kazoo-0.3.dist-info"
    distribution.mkdir()
    (distribution / "METADATA").write_text("Metadata-Version: 2.1\nName: sample-kazoo\nVersion: 0.3\n")
    (distribution / "entry_points.txt").write_text(
        "[bagatelle.instruments]\nsample-kazoo = sample_kazoo:PLUGIN\n"
    )
    (tmp_path / "sample_kazoo.py").write_text(
        "from tests.unit.catalogue.sample_plugins import SamplePlugin\nPLUGIN = SamplePlugin()\n"
    )
    monkeypatch.syspath_prepend(tmp_path)
    instruments = load_instruments(allowed={"sample-kazoo"})
    assert instruments.instrument("kazoo") is not None
    loaded = {each.name: each for each in instruments.plugins if each.status == "loaded"}
    assert list(loaded) == ["sample-kazoo"]
    assert (loaded["sample-kazoo"].distribution, loaded["sample-kazoo"].version) == ("sample-kazoo", "0.3")


def test_a_hook_with_a_wrong_argument() -> None:
    class Wrong(SamplePlugin):
        @hookimpl
        def bagatelle_material(self, exercise: str, options: Mapping[str, Any]) -> Any:
            return hum(options) if exercise else None

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason is not None
    assert report.reason == "bagatelle_material: takes 'options' (accepted: exercise, settings)"


def test_a_hook_may_take_fewer_arguments() -> None:
    class Fewer(SamplePlugin):
        @hookimpl
        def bagatelle_material(self, settings: Mapping[str, Any]) -> Any:  # type: ignore[override]
            return hum(settings)

    assert load_instruments(entry_points=[point(Fewer())]).plugins[0].status == "loaded"


def test_misspelt_hooks_are_named_with_what_was_meant() -> None:
    class Wrong(SamplePlugin):
        @hookimpl
        def bagatelle_text(self) -> Any:
            return ()

        @hookimpl
        def bagatelle_greeting(self) -> Any:
            return "hello"

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason is not None
    assert "bagatelle_text: there is no hook of this name (was bagatelle_texts meant?)" in report.reason
    assert "bagatelle_greeting: there is no hook of this name" in report.reason


def test_a_hook_that_is_not_implemented() -> None:
    class Wrong:
        @hookimpl
        def bagatelle_contract(self) -> int:
            return 1

        def bagatelle_texts(self) -> Any:
            return ()

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason is not None
    for hook in ("bagatelle_instruments", "bagatelle_texts", "bagatelle_material"):
        assert f"{hook}: is not implemented" in report.reason


def test_an_async_hook() -> None:
    class Wrong(SamplePlugin):
        @hookimpl
        async def bagatelle_texts(self) -> Any:
            return ()

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason == "bagatelle_texts: is asynchronous, and all hooks are plain functions"


def test_a_generator_hook() -> None:
    class Wrong(SamplePlugin):
        @hookimpl
        def bagatelle_texts(self) -> Any:
            yield from ()

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason == "bagatelle_texts: is a generator, and it must return its whole answer"


def test_a_wrapper() -> None:
    class Wrong(SamplePlugin):
        @hookimpl(wrapper=True)
        def bagatelle_texts(self) -> Any:
            return (yield)

    _, report = load_beside_a_right_one(point(Wrong()))
    assert report.reason == "bagatelle_texts: is a wrapper, and a plugin answers for itself and wraps nobody"


class Unreadable:
    """Registration looks at every attribute of a plugin; this one exits when asked for them."""

    def __dir__(self) -> list[str]:
        raise SystemExit(4)


def test_one_that_raises_on_registration() -> None:
    _, report = load_beside_a_right_one(point(Unreadable()))
    assert report.reason == "registration: raised SystemExit: 4"


@pytest.mark.parametrize("contract", [CONTRACT_VERSION - 2, CONTRACT_VERSION + 1, -1, 99])
def test_a_contract_version_that_the_host_does_not_take(contract: int) -> None:
    _, report = load_beside_a_right_one(point(SamplePlugin(contract=contract)))
    assert report.contract is None
    takes = " or ".join(map(str, accepted_contracts()))
    assert report.reason == (
        f"bagatelle_contract: the plugin was written for contract version {contract} (accepted: {takes})"
    )


@pytest.mark.parametrize("contract", accepted_contracts())
def test_the_contract_version_of_the_host_and_the_one_before_are_taken(contract: int) -> None:
    (report,) = load_instruments(entry_points=[point(SamplePlugin(contract=contract))]).plugins
    assert (report.status, report.contract) == ("loaded", contract)


@pytest.mark.parametrize("contract", [None, "1", True, 1.0])
def test_a_contract_version_that_is_no_whole_number(contract: object) -> None:
    _, report = load_beside_a_right_one(point(SamplePlugin(contract=contract)))
    assert report.reason == (
        f"bagatelle_contract: is a {type(contract).__name__} (accepted: the number {CONTRACT_VERSION})"
    )


def test_the_host_takes_its_own_contract_and_the_one_before() -> None:
    assert accepted_contracts(1) == (1,)
    assert accepted_contracts(2) == (2, 1)
    assert accepted_contracts(7) == (7, 6)
    assert CONTRACT_VERSION in accepted_contracts()


@pytest.mark.parametrize("hook", ["bagatelle_contract", "bagatelle_instruments", "bagatelle_texts"])
@pytest.mark.parametrize(
    "error", [RuntimeError("broken"), SystemExit("broken"), LookupError("broken"), Unknown("broken")]
)
def test_a_hook_that_raises_at_load(hook: str, error: BaseException) -> None:
    def fail(self: SamplePlugin) -> Any:
        assert self.__class__ is wrong
        raise error

    wrong = type("Wrong", (SamplePlugin,), {hook: hookimpl(fail)})
    _, report = load_beside_a_right_one(point(wrong()))
    assert report.reason == f"{hook}: raised {type(error).__name__}: broken"


def test_of_two_with_one_instrument_the_later_is_left_out() -> None:
    points = [point(SamplePlugin(), "second"), point(SamplePlugin(), "first")]
    instruments = load_instruments(entry_points=points)
    assert [(each.name, each.status) for each in instruments.plugins] == [
        ("first", "loaded"),
        ("second", "left out"),
    ]
    assert instruments.plugins[1].reason == (
        "instrument 'kazoo': the plugin 'first' has it already; kazoo.hum: the plugin 'first' has it already"
    )
    assert len(instruments.exercises) == 1
    assert instruments.plugin_of("kazoo.hum").name == "first"


def test_two_entry_points_of_one_name_are_both_tried() -> None:
    points = [point(renamed("comb"), "same"), point(SamplePlugin(), "same")]
    assert [each.status for each in load_instruments(entry_points=points).plugins] == ["loaded", "loaded"]


def test_what_is_not_allowed_is_not_even_imported() -> None:
    forbidden = FakeEntryPoint("kazoo", raising(AssertionError("imported")))
    instruments = load_instruments(entry_points=[forbidden, point(renamed("comb"), "comb")], allowed={"comb"})
    assert [(each.name, each.status, each.reason) for each in instruments.plugins] == [
        ("comb", "loaded", None),
        ("kazoo", "left out", "it is not among the plugins allowed"),
    ]


def test_a_name_that_is_allowed_in_vain_is_said(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO, "bagatelle.catalogue"):
        instruments = load_instruments(
            entry_points=[point(renamed("comb"), "comb")], allowed=["comb", "theremin", "comb"]
        )
    assert [(each.name, each.status) for each in instruments.plugins] == [
        ("comb", "loaded"),
        ("theremin", "not installed"),
    ]
    reason = "it is among the plugins allowed, and no plugin of this name is installed"
    assert instruments.plugins[1].reason == reason
    (record,) = caplog.records
    assert record.getMessage() == f"plugin 'theremin' is left out: {reason}"


def test_what_is_left_out_beforehand_is_not_even_imported() -> None:
    hanging = FakeEntryPoint("kazoo", raising(AssertionError("imported")))
    instruments = load_instruments(
        entry_points=[hanging, point(renamed("comb"), "comb")], left_out={"kazoo": "took too long"}
    )
    assert [(each.name, each.status, each.reason) for each in instruments.plugins] == [
        ("comb", "loaded", None),
        ("kazoo", "left out", "load: took too long"),
    ]


class Hostile:
    """Any look at one of its attributes raises."""

    def __getattribute__(self, name: str) -> Any:
        if name == "__class__":
            return Hostile
        raise SystemExit(name)


def test_an_object_that_raises_when_it_is_looked_at() -> None:
    _, report = load_beside_a_right_one(point(SamplePlugin(instruments=(Hostile(),))))
    assert report.reason is not None
    assert report.reason.startswith("examination: raised SystemExit: ")


def test_the_hash_follows_the_data_and_not_the_machine() -> None:
    first, again, other = (
        load_instruments(entry_points=[point(plugin)]).plugins[0].hash
        for plugin in (SamplePlugin(), SamplePlugin(), renamed("comb"))
    )
    assert first == again != other


def test_a_plugin_cannot_change_what_it_handed_over() -> None:
    plugin = SamplePlugin()
    instruments = load_instruments(entry_points=[point(plugin)])
    shared: Any = plugin.bagatelle_instruments()[0].exercises[0].defaults
    loaded: Any = instruments.exercise("kazoo.hum").defaults
    assert loaded == shared
    assert loaded is not shared
    assert loaded["notes"] is not shared["notes"]


def test_material_is_asked_for_with_settings_that_are_the_plugins_own() -> None:
    seen: list[Any] = []

    def material(settings: Mapping[str, Any]) -> Material:
        seen.append(settings)
        answer = hum(settings)
        settings["notes"].clear()
        return answer

    instruments = load_instruments(entry_points=[point(SamplePlugin(material=material))])
    given = {"notes": ["C", "E"], "bpm": 90}
    instruments.material("kazoo.hum", given)
    assert given == {"notes": ["C", "E"], "bpm": 90}
    assert instruments.exercise("kazoo.hum").defaults["notes"] == ["C", "D"]
    assert seen
