"""The catalogue: taken by the host without a fault, and what a teacher would insist on."""

import re
from pathlib import Path
from typing import get_args

import bagatelle_trumpet
import pytest
from bagatelle.contract import BarTiming, Exercise, NoteTiming
from bagatelle.engine.timing import time_of
from bagatelle.model.vocabulary import AREAS, Level

from tests.plugins.trumpet.loaded import documents, entries, instruments, material, own_exercises

EXERCISES = own_exercises()
EACH = pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
ENGLISH = {
    name: text
    for texts in instruments().texts_of("trumpet")
    if texts.locale == "en"
    for name, text in texts.messages.items()
}
CAUTIONS = {name: str(text) for name, text in ENGLISH.items() if name.startswith("trumpet.caution.")}

# What is blown shares its time with the lip's rest already: part of it is counted, sung, hummed or listened to.
RESTS_WITHIN = {"sing-then-play", "drone", "hear-the-harmonic", "cold-entries"}
# Half of its plain seconds are the rest after it.
PLAIN_REST = {"endurance"}


def test_the_host_takes_it_without_a_fault() -> None:
    (report,) = instruments().plugins
    assert (report.name, report.status, report.reason) == ("trumpet", "loaded", None)
    assert all(instruments().settings_errors(each.id, each.defaults) == () for each in EXERCISES)
    instrument = instruments().instrument("trumpet")
    assert instrument is not None
    assert instrument.family == "brass"


def test_there_is_enough_for_every_level_and_area() -> None:
    assert len(EXERCISES) >= 40
    assert {each.area for each in EXERCISES} == set(AREAS)
    assert {each.level for each in EXERCISES} == set(get_args(Level))


@EACH
def test_there_is_a_silent_form_that_nothing_is_blown_into(exercise: Exercise) -> None:
    if exercise.strain == "none" and exercise.loudness == "silent" and not exercise.needs_instrument:
        return
    assert exercise.soft_form is not None
    assert (exercise.soft_form.strain, exercise.soft_form.loudness) == ("none", "silent")
    assert not exercise.soft_form.needs_instrument


@EACH
def test_what_strains_is_capped_and_carries_its_caution(exercise: Exercise) -> None:
    names = {each.removeprefix("trumpet.caution.") for each in exercise.cautions}
    if exercise.strain in {"moderate", "high"}:
        assert names & {"lip", "limit", "pedal"}
    if exercise.strain == "high":
        assert "limit" in names
        assert exercise.daily_cap_seconds is not None
        assert exercise.daily_cap_seconds <= 900
        assert exercise.cadence_days is not None
        assert exercise.cadence_days >= 2  # never on two days running
    if exercise.strain == "none":
        assert names <= {"breath"}
    else:
        assert names
    assert ("hearing" in names) == (exercise.loudness == "loud")


@EACH
def test_the_figures_for_hearing_are_a_source_and_no_text(exercise: Exercise) -> None:
    # HSE Sound Advice and NIOSH Publication 98-126 (verified).
    given = any("88 to 108 dB" in each.fact and "85 dBA" in each.fact for each in exercise.sources)
    assert given == (exercise.loudness == "loud")


def test_no_text_gives_decibels() -> None:
    assert [name for name, text in ENGLISH.items() if re.search(r"\bdBA?\b|decibel", str(text))] == []


def test_cautions_say_when_to_stop_and_whom_to_ask() -> None:
    own = {f"trumpet.caution.{name}" for each in documents() for name in each.get("cautions", {})}
    used = {name for each in EXERCISES for name in each.cautions}
    assert own == used
    for name in used:
        text = CAUTIONS[name].lower()
        assert "stop" in text or "leave" in text
        assert re.search(r"doctor|dentist|audiologist", text), name
    lip, limit, breath = (CAUTIONS[f"trumpet.caution.{each}"] for each in ("lip", "limit", "breath"))
    assert all(word in lip for word in ("swollen", "numb", "doctor"))
    assert all(word in limit for word in ("two days", "swollen", "numb", "teacher"))
    assert all(word in breath for word in ("dizzy", "sit down"))


@EACH
def test_the_lip_rests_as_long_as_it_plays(exercise: Exercise) -> None:
    # wilktone.com and thetrumpetblog.com: rest as long as you play (custom).
    name = exercise.id.partition(".")[2]
    if exercise.strain == "none" or name in RESTS_WITHIN | PLAIN_REST | {"first-minutes"}:
        return
    for unit in material(name).units:
        assert isinstance(unit.timing, BarTiming | NoteTiming)
        assert (
            unit.timing.pause_seconds >= time_of(unit.timing).music_seconds - 0.002
        )  # rounded to milliseconds
    assert "rest" in {each.fact.split()[0] for each in exercise.sources}


def test_a_cold_entry_is_counted_for_longer_than_a_high_note_needs_to_rest() -> None:
    # One bar sounds; at the top the lip rests twice as long or more (custom).
    assert entries()["cold-entries"]["units"]["bars"] == "silence + 1"
    least, _ = entries()["cold-entries"]["settings"]["silence"]["whole"]
    assert least >= 2


def test_the_stand_in_is_one_warm_up_that_starts_at_once() -> None:
    (stand_in,) = (each for each in EXERCISES if each.warm_up_stand_in)
    assert (stand_in.area, stand_in.strain, stand_in.concreteness) == ("warm-up", "low", "exact")
    assert stand_in.set_up_seconds <= 10


def test_a_proposal_for_every_area() -> None:
    instrument = instruments().instrument("trumpet")
    assert instrument is not None
    assert {each.area for each in instrument.proposals} == set(AREAS)
    for proposal in instrument.proposals:
        assert (proposal.seconds is None) == (proposal.bars is not None and proposal.bpm is not None)


@EACH
def test_a_mute_says_how_loud_it_leaves_the_trumpet(exercise: Exercise) -> None:
    name = exercise.id.partition(".")[2]
    schema = exercise.settings_schema["properties"].get("mute")
    if schema is None:
        return
    found = {each: material(name, mute=each).loudness for each in schema["enum"]}
    # Common practice, no source: a practice or cup mute is soft at the player's ear, a straight mute is not.
    assert {mute: found[mute] for mute in ("practice", "cup") if mute in found} == dict.fromkeys(
        (mute for mute in ("practice", "cup") if mute in found), "soft"
    )
    assert found.get("straight", "moderate") == "moderate"
    if "none" in found:
        assert found["none"] == exercise.loudness or exercise.loudness == "soft"


def test_every_list_of_choices_and_every_source_is_used() -> None:
    lists = {name for each in documents() for name in each.get("choices", {})}
    used = {
        setting["of"]
        for entry in entries().values()
        for setting in entry["settings"].values()
        if "of" in setting
    }
    assert lists == used
    sources = {name for each in documents() for name in each.get("sources", {})}
    assert sources == {name for entry in entries().values() for name in entry["sources"]}


def test_of_the_host_only_what_plugins_may_import() -> None:
    source = "\n".join(path.read_text() for path in Path(bagatelle_trumpet.__file__).parent.rglob("*.py"))
    imports = re.findall(r"^(?:from|import) (bagatelle(?:\.[a-z_.]+)?)\b", source, re.MULTILINE)
    assert set(imports) == {"bagatelle.toml_catalogue"}
