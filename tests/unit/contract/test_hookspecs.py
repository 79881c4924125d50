"""Every hook of the contract says what it is given and returns, stands in the guide, and is really called."""

import inspect
import re
from collections.abc import Callable
from functools import wraps
from typing import Any, get_type_hints

import pytest
from bagatelle.catalogue import load_instruments
from bagatelle.contract import InstrumentHooks

from tests.architecture.source_tree import ROOT
from tests.unit.catalogue.sample_plugins import HUM, SamplePlugin, point

HOOKS: dict[str, Callable[..., object]] = {
    name: hook for name, hook in vars(InstrumentHooks).items() if name.startswith("bagatelle_")
}
EACH = pytest.mark.parametrize("hook", HOOKS)


def arguments_of(hook: str) -> list[str]:
    return list(inspect.signature(HOOKS[hook]).parameters)[1:]


def documented(hook: str) -> str:
    return inspect.getdoc(HOOKS[hook]) or ""


@EACH
def test_its_specification_has_types(hook: str) -> None:
    assert set(get_type_hints(HOOKS[hook])) == {*arguments_of(hook), "return"}


@EACH
def test_its_docstring_names_each_argument_and_what_it_returns(hook: str) -> None:
    text = documented(hook)
    named = re.findall(r"^:param (\w+): \S", text, re.MULTILINE)
    assert named == arguments_of(hook)
    assert re.search(r"^:returns: \S", text, re.MULTILINE)
    first, _, rest = text.partition("\n")
    assert first.endswith(".")
    # What it does comes first, then when it is called.
    assert re.search(r"^Called ", rest, re.MULTILINE)


@EACH
def test_the_guide_has_its_exact_signature(hook: str) -> None:
    signature = inspect.signature(HOOKS[hook])
    given = [each for name, each in signature.parameters.items() if name != "self"]
    written = f"`{hook}{signature.replace(parameters=given)}`"
    for module in ("bagatelle.model.exercise.", "collections.abc.", "typing."):
        written = written.replace(module, "")
    assert written in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def recording(calls: list[tuple[str, dict[str, Any]]]) -> SamplePlugin:
    """A right plugin that takes down which hooks are called, and with what."""

    def recorded(name: str) -> Callable[..., Any]:
        original = getattr(SamplePlugin, name)

        @wraps(original)
        def call(self: SamplePlugin, *values: Any) -> Any:
            calls.append((name, dict(zip(arguments_of(name), values, strict=True))))
            return original(self, *values)

        return call

    kind = type("Recording", (SamplePlugin,), {name: recorded(name) for name in HOOKS})
    plugin = kind()
    assert isinstance(plugin, SamplePlugin)
    return plugin


@EACH
def test_it_is_called_with_what_is_documented(hook: str) -> None:
    calls: list[tuple[str, dict[str, Any]]] = []
    instruments = load_instruments(entry_points=[point(recording(calls))])
    assert [report.status for report in instruments.plugins] == ["loaded"]
    made = [given for name, given in calls if name == hook]
    assert made
    assert all(list(given) == arguments_of(hook) for given in made)


def test_material_is_asked_for_again_with_other_settings() -> None:
    calls: list[tuple[str, dict[str, Any]]] = []
    instruments = load_instruments(entry_points=[point(recording(calls))])
    calls.clear()
    settings = {**HUM.defaults, "bpm": 72}
    units = instruments.material(HUM.id, settings).units
    assert calls == [("bagatelle_material", {"exercise": HUM.id, "settings": settings})]
    assert [unit.id for unit in units] == settings["notes"]


def test_the_others_are_called_once_and_in_order() -> None:
    calls: list[tuple[str, dict[str, Any]]] = []
    load_instruments(entry_points=[point(recording(calls))])
    names = [name for name, _ in calls]
    assert list(dict.fromkeys(names)) == list(HOOKS)
    assert [names.count(name) for name in HOOKS][:3] == [1, 1, 1]
