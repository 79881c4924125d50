"""Wrong data of a plugin: every fault is found at once, and names its item."""

import math
import re
from collections.abc import Iterator, Mapping
from itertools import count
from typing import Any

import pytest
from bagatelle.catalogue import load_instruments
from bagatelle.catalogue.answers import EXERCISES_LIMIT
from bagatelle.contract import (
    Exercise,
    Material,
    Message,
    NoteTiming,
    PlainTiming,
    SoftForm,
    Texts,
    Unit,
    hookimpl,
)
from msgspec.structs import replace

from tests.unit.catalogue.sample_plugins import HUM, KAZOO, TEXTS, SamplePlugin, hum, point


def reasons(plugin: object) -> list[str]:
    """Load the plugin, which must be left out whole; return its faults, without what would be accepted."""
    instruments = load_instruments(entry_points=[point(plugin)])
    (report,) = instruments.plugins
    assert report.status == "left out"
    assert report.reason is not None
    assert instruments.instruments == ()
    assert instruments.exercises == ()
    assert not instruments.wording.has("kazoo.name", "en")
    return [re.sub(r" \(accepted: .*\)$", "", fault) for fault in report.reason.split("; ")]


def with_exercise(**changes: Any) -> SamplePlugin:
    return SamplePlugin(instruments=(replace(KAZOO, exercises=(replace(HUM, **changes),)),))


def with_texts(*others: Texts, **changes: Any) -> SamplePlugin:
    messages = {key: text for key, text in {**TEXTS, **changes}.items() if text is not None}
    return SamplePlugin(texts=(Texts(locale="en", messages=messages), *others))


def with_unit(**changes: Any) -> SamplePlugin:
    def material(settings: Mapping[str, Any]) -> Material:
        first, *others = hum(settings).units
        return replace(hum(settings), units=(replace(first, **changes), *others))

    return SamplePlugin(material=material)


# Types of the answers -------------------------------------------------------------------------------------


@pytest.mark.parametrize("answer", [None, {}, "kazoo", 3, KAZOO])
def test_instruments_of_the_wrong_type(answer: object) -> None:
    kind = type(answer).__name__
    assert f"bagatelle_instruments: is a {kind}" in reasons(SamplePlugin(instruments=answer))


def test_a_fault_says_what_would_be_accepted() -> None:
    (report,) = load_instruments(entry_points=[point(with_exercise(set_up_seconds=-1))]).plugins
    assert report.reason is not None
    assert report.reason.startswith(
        "kazoo.hum: /set_up_seconds: -1 is too small (accepted: a whole number of at least 0)"
    )


def test_no_instruments() -> None:
    found = reasons(SamplePlugin(instruments=()))
    assert "bagatelle_instruments: hands over no instrument that could be used" in found


def test_an_instrument_of_the_wrong_type() -> None:
    assert "instrument 0: is a dict" in reasons(SamplePlugin(instruments=({"id": "kazoo"},)))


def test_texts_of_the_wrong_type() -> None:
    assert "bagatelle_texts: is a dict" in reasons(SamplePlugin(texts={"en": TEXTS}))


@pytest.mark.parametrize("answer", [None, {"units": []}, (), "units"])
def test_material_of_the_wrong_type(answer: object) -> None:
    found = reasons(SamplePlugin(material=lambda _: answer))
    assert found == [f"material of kazoo.hum: is a {type(answer).__name__}"]


def test_material_that_is_a_coroutine() -> None:
    async def later() -> Material:
        return Material(units=())

    found = reasons(SamplePlugin(material=lambda _: later()))
    assert found[0] == "material of kazoo.hum: is a coroutine"


def test_material_that_is_a_generator() -> None:
    def piecemeal(settings: Mapping[str, Any]) -> Iterator[Unit]:
        yield from hum(settings).units

    found = reasons(SamplePlugin(material=piecemeal))
    assert found[0] == "material of kazoo.hum: is a generator"


def test_wrong_fields_of_an_exercise_are_all_named() -> None:
    wrong: dict[str, Any] = {"strain": "heavy", "usual_minutes": 500, "level": 3}
    found = reasons(with_exercise(**wrong))
    assert [reason for reason in found if reason.startswith("kazoo.hum: ")] == [
        "kazoo.hum: /level: 3 is not among the values accepted",
        'kazoo.hum: /strain: "heavy" is not among the values accepted',
        "kazoo.hum: /usual_minutes: 500 is too large",
    ]


def test_data_that_is_no_json() -> None:
    found = reasons(with_exercise(defaults={"notes": object(), "bpm": 60}))
    assert found == ["kazoo.hum: cannot be written as JSON: Encoding objects of type object is unsupported"]


# Exercises ------------------------------------------------------------------------------------------------


def test_an_exercise_id_of_another_instrument() -> None:
    assert "fiddle.hum: the id must begin with 'kazoo.'" in reasons(with_exercise(id="fiddle.hum"))


def test_an_exercise_id_that_is_given_twice() -> None:
    twice = SamplePlugin(instruments=(replace(KAZOO, exercises=(HUM, replace(HUM, warm_up_stand_in=False))),))
    assert reasons(twice) == ["kazoo.hum: the id is given twice"]


def test_an_instrument_that_is_given_twice() -> None:
    bare = replace(KAZOO, exercises=())
    assert reasons(SamplePlugin(instruments=(KAZOO, bare))) == ["instrument 'kazoo': the id is given twice"]


def test_an_instrument_by_the_engines_name() -> None:
    found = reasons(SamplePlugin(instruments=(replace(KAZOO, id="engine"),)))
    assert "instrument 'engine': this id is the engine's own, take another" in found


def test_high_strain_needs_a_cap_and_a_caution() -> None:
    found = reasons(with_exercise(strain="high", warm_up_stand_in=False))
    assert found == [
        "kazoo.hum: strain is high, so daily_cap_seconds is needed",
        "kazoo.hum: strain is high, so a caution is needed",
    ]
    right = with_exercise(
        strain="high", warm_up_stand_in=False, daily_cap_seconds=300, cautions=("kazoo.caution",)
    )
    assert load_instruments(entry_points=[point(right)]).plugins[0].status == "loaded"


def test_an_exercise_without_a_source() -> None:
    assert reasons(with_exercise(sources=()))[0].startswith("kazoo.hum: sources is empty")


@pytest.mark.parametrize("changes", [{"area": "technique"}, {"strain": "moderate"}])
def test_a_stand_in_that_prepares_nobody(changes: dict[str, Any]) -> None:
    expected = "kazoo.hum: a warm-up stand-in must be warm-up or tone work of strain none or low"
    assert reasons(with_exercise(**changes)) == [expected]


def test_too_many_exercises() -> None:
    many = tuple(replace(HUM, id=f"kazoo.hum-{number}") for number in range(EXERCISES_LIMIT + 1))
    found = reasons(SamplePlugin(instruments=(replace(KAZOO, exercises=many),), material=lambda _: None))
    assert found[0] == "bagatelle_instruments: hands over 2001 exercises"


# Settings -------------------------------------------------------------------------------------------------


def test_a_settings_schema_that_is_none() -> None:
    schema = {**HUM.settings_schema, "properties": {"bpm": {"type": "speed"}}}
    (found,) = reasons(with_exercise(settings_schema=schema))
    assert found.startswith("kazoo.hum: settings_schema is no valid JSON Schema: ")


def test_a_settings_schema_that_leads_elsewhere() -> None:
    schema = {**HUM.settings_schema, "properties": {"bpm": {"$ref": "https://example.org/bpm.json"}}}
    found = reasons(with_exercise(settings_schema=schema))
    assert any("settings_schema is no valid JSON Schema" in reason for reason in found)


def test_a_settings_schema_that_lets_unknown_settings_through() -> None:
    open_schema = {key: part for key, part in HUM.settings_schema.items() if key != "additionalProperties"}
    assert "kazoo.hum: settings_schema has additionalProperties null" in reasons(
        with_exercise(settings_schema=open_schema)
    )


def test_a_settings_schema_of_another_dialect() -> None:
    old = {**HUM.settings_schema, "$schema": "http://json-schema.org/draft-07/schema#"}
    assert "kazoo.hum: settings_schema is of another dialect" in reasons(with_exercise(settings_schema=old))


def test_defaults_that_are_not_valid() -> None:
    found = reasons(with_exercise(defaults={"notes": ["C", "H"], "bpm": 500, "mood": "gay"}))
    assert [reason for reason in found if reason.startswith("kazoo.hum")] == [
        "kazoo.hum, defaults: /bpm: 500 is too large",
        'kazoo.hum, defaults: /mood: the field "mood" is unknown',
        'kazoo.hum, defaults: /notes/1: "H" is not among the values accepted',
    ]


def test_a_setting_without_a_default() -> None:
    found = reasons(with_exercise(defaults={"notes": ["C"]}))
    assert found == ["kazoo.hum: defaults have no value for the setting 'bpm'"]


# Texts ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["title", "what", "how", "how_much", "done_when"])
def test_a_missing_text(part: str) -> None:
    found = reasons(with_texts(**{f"kazoo.hum.{part}": None}))
    assert found[0].startswith("kazoo.hum: in the locale 'en', ")
    assert f"'kazoo.hum.{part}'" in found[0]


@pytest.mark.parametrize("part", ["title", "also_called"])
def test_a_text_that_is_shown_without_settings_names_no_parameter(part: str) -> None:
    found = reasons(with_texts(**{f"kazoo.hum.{part}": "Humming {units}"}))
    assert found[0].startswith(f"kazoo.hum: in the locale 'en', text 'kazoo.hum.{part}': ")


def test_a_missing_name_of_the_instrument_and_texts_of_a_proposal() -> None:
    found = reasons(with_texts(**{"kazoo.own.label": None, "kazoo.name": None}))
    assert [reason.split("text ")[1].split(":")[0] for reason in found] == [
        "'kazoo.name'",
        "'kazoo.own.label'",
    ]


def test_a_missing_text_is_found_without_material_too() -> None:
    broken = SamplePlugin(
        texts=(
            Texts(locale="en", messages={name: TEXTS[name] for name in TEXTS if name != "kazoo.hum.how"}),
        ),
        material=lambda _: 3,
    )
    found = reasons(broken)
    assert "kazoo.hum: the text 'kazoo.hum.how' is missing" in found
    assert "material of kazoo.hum: is a int" in found


def test_a_soft_form_needs_texts_of_its_own() -> None:
    soft = SoftForm(strain="none", loudness="silent", needs_instrument=False)
    found = reasons(with_exercise(soft_form=soft))
    assert len(found) == 2
    assert "'kazoo.hum.soft.what'" in found[0]
    assert "'kazoo.hum.soft.how'" in found[1]


def test_an_optional_text_of_a_soft_form_must_render_as_well() -> None:
    soft = SoftForm(strain="none", loudness="silent", needs_instrument=False)
    texts = {
        "kazoo.hum.soft.what": "Sing.",
        "kazoo.hum.soft.how": "Under the breath.",
        "kazoo.hum.soft.done_when": "{nonsense}",
    }
    plugin = SamplePlugin(
        instruments=(replace(KAZOO, exercises=(replace(HUM, soft_form=soft),)),),
        texts=(Texts(locale="en", messages={**TEXTS, **texts}),),
    )
    (found, *_) = reasons(plugin)
    assert "'kazoo.hum.soft.done_when'" in found
    assert "the parameter 'nonsense' is missing" in found


def test_a_caution_without_a_text() -> None:
    (found,) = reasons(with_exercise(cautions=("kazoo.beware",)))
    assert "'kazoo.beware'" in found


def test_a_text_that_names_a_parameter_which_nobody_gives() -> None:
    found = reasons(with_texts(**{"kazoo.hum.how": "At {tempo}."}))
    assert found[0] == (
        "kazoo.hum: in the locale 'en', text 'kazoo.hum.how': the parameter 'tempo' is missing"
    )


def test_a_label_of_a_unit_without_a_text() -> None:
    found = reasons(with_unit(label=Message("kazoo.unknown")))
    assert found[0].startswith("kazoo.hum, unit 'C': ")


def test_a_detail_of_a_unit_without_a_text() -> None:
    (found,) = reasons(with_unit(detail=Message("kazoo.unknown")))
    assert found.startswith("kazoo.hum, unit 'C': ")


def test_every_locale_is_tried() -> None:
    american = Texts(locale="en-US", messages={"kazoo.hum.how": "At {tempo}."})
    found = reasons(with_texts(american))
    assert found[0].startswith("kazoo.hum: in the locale 'en-US', text 'kazoo.hum.how'")


def test_texts_that_are_wrong_in_themselves_are_all_named() -> None:
    strange = Texts(locale="english", messages={})
    german = Texts(locale="de", messages={"kazoo.only-german": "Nur hier"})
    twice = Texts(locale="de", messages={})
    wrong = {"fiddle.name": "Fiddle", "kazoo.note": "{name!r}", "kazoo.x": {"by": "n"}}
    found = reasons(with_texts(strange, german, twice, **wrong))
    for reason in (
        "texts 'en', fiddle.name: the id must begin with one of: kazoo.",
        "texts 'en', kazoo.note: only gaps such as {name} may stand in braces, and here is '{name!r}'",
        "texts 'english': is no locale",
        "texts 'de', kazoo.only-german: there is no such text in 'en'",
        "texts 'de': the locale is given twice",
    ):
        assert reason in found
    assert any(reason.startswith("texts 'en', kazoo.x: a plural template needs") for reason in found)


def test_no_english() -> None:
    found = reasons(SamplePlugin(texts=(Texts(locale="de", messages=TEXTS),)))
    assert "bagatelle_texts: has no texts in 'en', which every plugin speaks" in found


# Material -------------------------------------------------------------------------------------------------


def test_material_without_units() -> None:
    found = reasons(SamplePlugin(material=lambda _: Material(units=())))
    assert found[0] == "material of kazoo.hum: has 0 units"


def test_a_unit_whose_pitches_are_upside_down() -> None:
    found = reasons(with_unit(lowest_pitch=70, highest_pitch=60))
    assert "goes from 70 up to a lower pitch, 60" in found[0]


def test_units_of_one_id() -> None:
    found = reasons(with_unit(id="D"))
    assert found[0] == "material of kazoo.hum: has 2 units of the id 'D'"


def test_a_unit_id_too_long_for_a_history() -> None:
    assert reasons(with_unit(id="C" * 65))[0].startswith("material of kazoo.hum: the unit id ")


@pytest.mark.parametrize(
    ("timing", "place"),
    [
        (PlainTiming(seconds=-5), "/units/0/timing/seconds: -5 is too small"),
        (PlainTiming(seconds=0), "/units/0/timing/seconds: 0 is too small"),
        (
            NoteTiming(notes=8, notes_per_beat=2, bpm=math.nan),
            "/units/0/timing/bpm: nan is no finite number",
        ),
        (
            NoteTiming(notes=8, notes_per_beat=2, bpm=math.inf),
            "/units/0/timing/bpm: inf is no finite number",
        ),
        (NoteTiming(notes=8, notes_per_beat=0, bpm=60), "/units/0/timing/notes_per_beat: 0 is too small"),
    ],
)
def test_units_that_take_no_sensible_time(timing: Any, place: str) -> None:
    assert reasons(with_unit(timing=timing))[0] == f"material of kazoo.hum: {place}"


def test_a_parameter_by_an_engines_name() -> None:
    def material(settings: Mapping[str, Any]) -> Material:
        return replace(hum(settings), parameters={"bpm": 60, "minutes": 3})

    found = reasons(SamplePlugin(material=material))
    assert found[0] == "material of kazoo.hum: the parameter 'minutes' is the engine's own, take another name"


def test_another_answer_the_second_time() -> None:
    calls = count(1)

    def material(settings: Mapping[str, Any]) -> Material:
        return replace(hum(settings), parameters={"bpm": next(calls)})

    found = reasons(SamplePlugin(material=material))
    assert found == ["material of kazoo.hum: two calls with the same settings gave two answers"]


@pytest.mark.parametrize("error", [UnicodeError("no"), RuntimeError("no"), SystemExit("no"), KeyError("no")])
def test_material_of_the_defaults_that_raises(error: BaseException) -> None:
    def material(_: object) -> Material:
        raise error

    (found,) = reasons(SamplePlugin(material=material))
    assert found.startswith(f"bagatelle_material of kazoo.hum: raised {type(error).__name__}")


def test_defaults_that_are_refused_are_no_accident() -> None:
    def material(_: object) -> Material:
        raise ValueError("two hands are needed")

    assert reasons(SamplePlugin(material=material)) == [
        "kazoo.hum, defaults: the defaults are refused: two hands are needed"
    ]


def test_an_instrument_of_the_engines_own_id_is_refused_by_itself() -> None:
    class Engine(SamplePlugin):
        @hookimpl
        def bagatelle_instruments(self) -> Any:
            return (replace(KAZOO, id="engine", exercises=()),)

    broken = Engine(texts=(Texts(locale="en", messages={"engine.caution.hearing": "Stop."}),))
    assert reasons(broken) == ["instrument 'engine': this id is the engine's own, take another"]


def test_a_text_of_the_engines_own_is_refused_beside_other_faults() -> None:
    class Wrong(SamplePlugin):
        @hookimpl
        def bagatelle_instruments(self) -> Any:
            return (replace(KAZOO, exercises=(HUM, replace(HUM, id="kazoo.growl", usual_minutes=-1))),)

    messages = {**TEXTS, "engine.caution.hearing": "Stop."}
    found = reasons(Wrong(texts=(Texts(locale="en", messages=messages),)))
    reason = "the ids that begin with 'engine.' are the engine's own"
    assert f"texts 'en', engine.caution.hearing: {reason}" in found


def test_what_is_wrong_in_english_is_not_blamed_on_another_locale() -> None:
    messages = {**TEXTS, "kazoo.name": "kazoo {units}"}
    texts = (Texts(locale="en", messages=messages), Texts(locale="de", messages={}))
    found = "\n".join(reasons(SamplePlugin(texts=texts)))
    assert "in the locale 'en', text 'kazoo.name'" in found
    assert "'de'" not in found


# All at once ----------------------------------------------------------------------------------------------


def test_faults_of_every_kind_are_named_together() -> None:
    second: Exercise = replace(
        HUM, id="kazoo.buzz", warm_up_stand_in=False, defaults={"notes": [], "bpm": 60}, sources=()
    )
    third: Exercise = replace(HUM, id="kazoo.growl", usual_minutes=-1)

    class Wrong(SamplePlugin):
        @hookimpl
        def bagatelle_instruments(self) -> Any:
            return (replace(KAZOO, exercises=(HUM, second, third)),)

    found = "\n".join(reasons(Wrong(material=lambda _: Material(units=()))))
    for part in (
        "kazoo.growl: /usual_minutes: -1 is too small",
        "kazoo.buzz: sources is empty",
        "kazoo.buzz, defaults: /notes",
        "kazoo.buzz: the text 'kazoo.buzz.title' is missing",
        "material of kazoo.hum: has 0 units",
    ):
        assert part in found
