"""A plugin that has both code and a catalogue in TOML hands over one instrument."""

from collections.abc import Mapping
from typing import Any, Final

import pytest
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import (
    CONTRACT_VERSION,
    Instrument,
    Material,
    Message,
    PlainTiming,
    Texts,
    Unit,
    hookimpl,
)
from bagatelle.toml_catalogue import CatalogueBesideCode
from msgspec.structs import replace

from tests.unit.toml_catalogue.kazoo import KAZOO, TextPlugin, catalogue

IN_FILES: Final = catalogue(KAZOO)
HUM: Final = "kazoo.hum"
CODED_TEXTS: Final = (
    Texts(
        locale="en",
        messages={
            "kazoo.name": "the kazoo of the code",
            f"{HUM}.title": "Humming",
            f"{HUM}.what": "Hum",
            f"{HUM}.how": "on one note",
            f"{HUM}.how_much": "for half a minute",
            f"{HUM}.done_when": "the time is up",
        },
    ),
    Texts(locale="en-US", messages={f"{HUM}.how": "on one pitch"}),
)


def coded_instrument() -> Instrument:
    (of_files,) = (each for each in IN_FILES.instrument.exercises if each.id == "kazoo.tune")
    schema = {"type": "object", "additionalProperties": False, "properties": {}}
    hum = replace(of_files, id=HUM, settings_schema=schema, defaults={})
    return Instrument(id="kazoo", family="wind", exercises=(hum,))


def hum(_settings: Mapping[str, Any]) -> Material:
    return Material(units=(Unit(id="hum", label=Message("kazoo.name"), timing=PlainTiming(seconds=30)),))


class Both:
    """As the module of a plugin has it."""

    def __init__(self, text: str = KAZOO) -> None:
        self._in_toml = CatalogueBesideCode(TextPlugin(text))

    @hookimpl
    def bagatelle_contract(self) -> int:
        return CONTRACT_VERSION

    @hookimpl
    def bagatelle_instruments(self) -> tuple[Instrument, ...]:
        return (self._in_toml.instrument(coded_instrument()),)

    @hookimpl
    def bagatelle_texts(self) -> tuple[Texts, ...]:
        return self._in_toml.texts(CODED_TEXTS)

    @hookimpl
    def bagatelle_material(self, exercise: str, settings: Mapping[str, Any]) -> Material:
        return self._in_toml.material(exercise, settings, {HUM: hum})


class Point:
    name = "kazoo"
    dist = None

    def load(self) -> object:
        return Both()


def test_the_host_takes_both_as_one() -> None:
    instruments = load_instruments(entry_points=[Point()])
    assert [(report.status, report.reason) for report in instruments.plugins] == [("loaded", None)]
    assert [each.id for each in instruments.exercises] == [HUM, "kazoo.scales", "kazoo.tune"]
    assert [each.area for each in instruments.instruments[0].proposals] == ["tone"]
    assert instruments.wording.render(Message(f"{HUM}.how"), "en-US") == "on one pitch"
    assert instruments.wording.render(Message("kazoo.tune.title"), "en-US") == "A tune"


def test_what_the_instrument_is_the_code_says() -> None:
    joined = Both().bagatelle_instruments()[0]
    coded = coded_instrument()
    assert replace(joined, exercises=coded.exercises, proposals=coded.proposals) == coded


def test_of_two_texts_the_codes_counts() -> None:
    english, american = Both().bagatelle_texts()
    assert (english.locale, american.locale) == ("en", "en-US")
    assert english.messages["kazoo.name"] == "the kazoo of the code"
    assert english.messages["kazoo.tune.title"] == "A tune"
    assert american.messages == {
        f"{HUM}.how": "on one pitch",
        "kazoo.tune.done_when": "it ends where it started",
    }


def test_material_comes_from_whichever_has_the_exercise() -> None:
    both = Both()
    assert both.bagatelle_material(HUM, {}) == hum({})
    settings = {"piece": "x", "passes": 3}
    assert both.bagatelle_material("kazoo.tune", settings) == IN_FILES.material("kazoo.tune", settings)
    with pytest.raises(KeyError, match=r"kazoo\.whistle"):
        both.bagatelle_material("kazoo.whistle", {})


def test_another_instrument_is_refused() -> None:
    other = KAZOO.replace('id = "kazoo"', 'id = "comb"')
    with pytest.raises(ValueError, match="files are of 'comb', the code of 'kazoo'"):
        Both(other).bagatelle_instruments()


def test_an_exercise_that_both_have_is_refused() -> None:
    with pytest.raises(ValueError, match=r"kazoo\.hum stands in both"):
        Both(KAZOO.replace('name = "tune"', 'name = "hum"')).bagatelle_instruments()
