"""Catalogues that join what is loaded: used as plugins are, left out with their lines, and no guard before them."""

from collections.abc import Callable

import pytest
from bagatelle import Instruments, compress, decode_request
from bagatelle.catalogue.guard import HookCall
from bagatelle.contract import Material
from bagatelle.model.errors import PluginError
from bagatelle.toml_catalogue import CatalogueText, join_catalogues

from tests.unit.toml_catalogue.kazoo import KAZOO, loaded

COMB = KAZOO.replace('id = "kazoo"', 'id = "comb"\nversion = "7"')
TUNE = b"""{"routine": {"blocks": [
    {"title": "T", "tasks": [{"title": "T", "exercise": "comb.tune", "minutes": 10}]}
]}}"""


def line_of(text: str, words: str) -> int:
    return text[: text.index(words)].count("\n") + 1


def test_a_catalogue_joins_what_is_loaded() -> None:
    both = join_catalogues(loaded(), [CatalogueText("own/comb", COMB)])
    assert both.refused == {}
    assert [each.id for each in both.instruments.instruments] == ["kazoo", "comb"]
    version = both.instruments.plugin_of("comb.scales")
    assert (version.name, version.version) == ("own/comb", "7")
    assert version.hash != both.instruments.plugin_of("kazoo.scales").hash
    assert [(each.name, each.status) for each in both.instruments.plugins] == [
        ("kazoo", "loaded"),
        ("own/comb", "loaded"),
    ]
    assert compress(decode_request(TUNE), both.instruments).plan.steps
    assert not loaded().has("comb.tune")


def test_whatever_is_changed_changes_the_hash() -> None:
    # How long it takes stands in neither the instrument nor the texts.
    longer = COMB.replace("seconds = 40", "seconds = 50")
    hashes = {
        join_catalogues(Instruments.none(), [CatalogueText("own/comb", text)]).instruments.plugins[0].hash
        for text in (COMB, longer, COMB)
    }
    assert len(hashes) == 2


def test_nothing_to_join_changes_nothing() -> None:
    joined = join_catalogues(loaded(), []).instruments
    assert joined.plugins == loaded().plugins
    assert joined.exercises == loaded().exercises


@pytest.mark.parametrize(
    ("text", "words", "line"),
    [
        (KAZOO, "'kazoo' is there already", line_of(KAZOO, 'id = "kazoo"')),
        (COMB.replace('area = "tone"', 'area = "tones"'), "/proposal/0/area", line_of(COMB, 'area = "tone"')),
        # Only found when all of it is held against the rules of plugins.
        (
            COMB.replace("daily_cap_seconds = 600\n", ""),
            "daily_cap_seconds is needed",
            line_of(COMB, "[[exerc"),
        ),
        (COMB.replace('"by ear"', '"by \\u001bear"'), "U+001B", line_of(COMB, '"by ear"')),
        (COMB.replace('"by ear"', '"by \u202eear"'), "U+202E", line_of(COMB, '"by ear"')),
        (COMB + "colour = [", "not TOML", COMB.count("\n") + 1),
    ],
)
def test_one_that_is_wrong_is_left_out_with_its_line(text: str, words: str, line: int) -> None:
    good = CatalogueText("own/good", COMB.replace('id = "comb"', 'id = "whistle"'))
    joined = join_catalogues(loaded(), [CatalogueText("own/bad", text), good])
    (fault,) = joined.refused["own/bad"].file_faults
    assert (fault.file, fault.line) == ("own/bad", line)
    assert words in fault.reason
    assert joined.instruments.has("whistle.tune")
    report = joined.instruments.plugins[1]
    assert (report.name, report.status) == ("own/bad", "left out")
    assert f"line {line}" in str(report.reason)


def test_names_and_instruments_are_there_once() -> None:
    first = CatalogueText("own/comb", COMB)
    same_instrument = CatalogueText("own/other", COMB)
    same_name = CatalogueText("own/comb", COMB.replace('id = "comb"', 'id = "whistle"'))
    joined = join_catalogues(Instruments.none(), [first, same_instrument, same_name])
    assert [each.id for each in joined.instruments.instruments] == ["comb"]
    assert {name: len(error.file_faults) for name, error in joined.refused.items()} == {
        "own/other": 1,
        "own/comb": 1,
    }


def test_a_guard_stands_before_plugins_alone() -> None:
    def refusing(call: HookCall, ask: Callable[[], Material]) -> Material:
        del ask
        raise PluginError(call.plugin, call.hook, call.exercise, "it is not asked", "quarantined")

    joined = join_catalogues(loaded().guarded_by(refusing), [CatalogueText("own/comb", COMB)]).instruments
    settings = {"piece": "a march", "passes": 2}
    assert joined.material("comb.tune", settings).units
    with pytest.raises(PluginError):
        joined.material("kazoo.tune", settings)
