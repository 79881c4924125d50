"""What is asked of loaded instruments while requests are answered."""

from collections.abc import Mapping
from typing import Any

import pytest
from bagatelle.catalogue import Instruments, load_instruments
from bagatelle.contract import Material, Message
from bagatelle.model.errors import InvalidInputError, PluginError, UnknownExerciseError
from msgspec.structs import replace

from tests.unit.catalogue.sample_plugins import SamplePlugin, hum, point, renamed

SETTINGS = {"notes": ["C", "E"], "bpm": 72}


def loaded(**parts: Any) -> Instruments:
    instruments = load_instruments(
        entry_points=[point(SamplePlugin(**parts)), point(renamed("comb"), "comb")]
    )
    assert {report.status for report in instruments.plugins} == {"loaded"}
    return instruments


def failing_on_72(error: BaseException) -> Instruments:
    """Load a plugin that is right for its defaults and raises for another speed."""

    def material(settings: Mapping[str, Any]) -> Material:
        if settings["bpm"] == 72:
            raise error
        return hum(settings)

    return loaded(material=material)


def test_none_at_all() -> None:
    none = Instruments.none()
    assert (none.plugins, none.instruments, none.exercises) == ((), (), ())
    assert none.stand_in("kazoo") is None
    assert none.proposal("kazoo", "tone") is None
    assert none.wording.render(Message("engine.area.tone"), "en-GB") == "tone"


def test_instruments_and_exercises_are_found_by_id() -> None:
    instruments = loaded()
    assert [each.id for each in instruments.exercises] == ["comb.hum", "kazoo.hum"]
    kazoo = instruments.instrument("kazoo")
    assert kazoo is not None
    assert kazoo.exercises == (instruments.exercise("kazoo.hum"),)
    assert instruments.instrument("fiddle") is None


def test_an_unknown_exercise_is_named() -> None:
    instruments = loaded()
    for ask in (
        lambda: instruments.exercise("kazoo.buzz"),
        lambda: instruments.settings_errors("kazoo.buzz", {}),
        lambda: instruments.material("kazoo.buzz", {}),
        lambda: instruments.plugin_of("kazoo.buzz"),
        lambda: instruments.complete_settings("kazoo.buzz", {}),
    ):
        with pytest.raises(UnknownExerciseError, match=r"'kazoo\.buzz'"):
            ask()


def test_the_owner_of_an_exercise() -> None:
    owner = loaded().plugin_of("comb.hum")
    assert (owner.name, owner.version, len(owner.hash)) == ("comb", "1.2.3", 71)


def test_stand_in_and_proposal() -> None:
    instruments = loaded()
    stand_in = instruments.stand_in("kazoo")
    proposal = instruments.proposal("kazoo", "repertoire")
    assert stand_in is not None
    assert stand_in.id == "kazoo.hum"
    assert proposal is not None
    assert proposal.label == "kazoo.own.label"
    assert instruments.proposal("kazoo", "tone") is None
    assert instruments.proposal(None, "repertoire") is None
    assert instruments.stand_in("fiddle") is None


def test_texts_of_plugins_and_engine_are_one_wording() -> None:
    wording = loaded().wording
    note = Message("kazoo.note", {"name": "C"})
    assert wording.render(Message("kazoo.hum.what", {"units": (note, note)}), "en-GB") == (
        "Hum the note C and the note C."
    )


def test_every_wrong_setting_is_named_with_its_pointer() -> None:
    wrong = {"bpm": "fast", "notes": ["C", "H", "C"], "a/b~c": 1}
    errors = loaded().settings_errors("kazoo.hum", wrong, "/routine/blocks/0/tasks/2/settings")
    assert [(error.pointer, error.accepted) for error in errors] == [
        ("/routine/blocks/0/tasks/2/settings/a~1b~0c", "the fields notes, bpm"),
        ("/routine/blocks/0/tasks/2/settings/bpm", "a whole number from 40 to 200"),
        ("/routine/blocks/0/tasks/2/settings/notes", "a list of at least 1 item, each one of: C, D, E"),
        ("/routine/blocks/0/tasks/2/settings/notes/1", "one of: C, D, E"),
    ]


def test_settings_need_not_be_complete() -> None:
    instruments = loaded()
    assert instruments.settings_errors("kazoo.hum", {}) == ()
    assert instruments.settings_errors("kazoo.hum", {"bpm": 200}) == ()
    assert instruments.complete_settings("kazoo.hum", {"bpm": 200}) == {"notes": ["C", "D"], "bpm": 200}


def test_material_of_settings() -> None:
    material = loaded().material("kazoo.hum", SETTINGS)
    assert [unit.id for unit in material.units] == ["C", "E"]
    assert material.parameters == {"bpm": 72}


def test_material_is_asked_for_once_whatever_the_order_of_the_settings() -> None:
    asked: list[object] = []

    def material(settings: Mapping[str, Any]) -> Material:
        asked.append(settings)
        return hum(settings)

    instruments = loaded(material=material)
    asked.clear()
    first = instruments.material("kazoo.hum", {"notes": ["C"], "bpm": 72})
    second = instruments.material("kazoo.hum", {"bpm": 72, "notes": ["C"]})
    assert first == second
    assert len(asked) == 1


def test_settings_that_do_not_go_together_are_the_senders_fault() -> None:
    instruments = failing_on_72(ValueError("C and E do not go together at 72; at 60 they do"))
    with pytest.raises(InvalidInputError) as caught:
        instruments.material("kazoo.hum", SETTINGS, "/settings")
    (error,) = caught.value.errors
    assert (error.pointer, error.message) == (
        "/settings",
        "C and E do not go together at 72; at 60 they do",
    )


@pytest.mark.parametrize("error", [RuntimeError("broken"), SystemExit("broken"), KeyError("broken")])
def test_any_other_error_is_the_plugins_fault_and_named(error: BaseException) -> None:
    instruments = failing_on_72(error)
    for _ in range(2):
        with pytest.raises(PluginError) as caught:
            instruments.material("kazoo.hum", SETTINGS)
        named = caught.value
        assert (named.plugin, named.hook, named.item) == ("kazoo", "bagatelle_material", "kazoo.hum")
        assert type(error).__name__ in named.reason
    assert instruments.material("kazoo.hum", {**SETTINGS, "bpm": 73}).parameters == {"bpm": 73}


def test_the_keyboard_still_interrupts() -> None:
    with pytest.raises(KeyboardInterrupt):
        failing_on_72(KeyboardInterrupt()).material("kazoo.hum", SETTINGS)


def test_a_wrong_answer_at_request_time_is_the_plugins_fault() -> None:
    def material(settings: Mapping[str, Any]) -> Material:
        first, *others = hum(settings).units
        return Material(units=(replace(first, id="E"), *others), parameters={"bpm": 1})

    def right_by_default(settings: Mapping[str, Any]) -> Material:
        return material(settings) if settings["bpm"] == 72 else hum(settings)

    instruments = loaded(material=right_by_default)
    with pytest.raises(PluginError, match="has 2 units of the id 'E'"):
        instruments.material("kazoo.hum", SETTINGS)
