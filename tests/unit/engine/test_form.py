"""The form of a task: as it is, soft, or studied; whatever the day allows first."""

import pytest
from bagatelle.engine.body import Traits
from bagatelle.engine.form import form_for
from bagatelle.engine.settled import Form
from bagatelle.engine.study_words import along_today
from bagatelle.model.request import Circumstances

from tests.strategies import instruments, plan_of
from tests.unit.engine.numbers import own_task, request

PLAYED = Traits(strain="low", loudness="moderate", needs_instrument=True)
SILENT = Traits(strain="none", loudness="silent", needs_instrument=False)


@pytest.mark.parametrize(
    ("traits", "day", "form"),
    [
        (PLAYED, Circumstances(), "usual"),
        (PLAYED, Circumstances(quiet=True), "soft"),
        (PLAYED, Circumstances(quiet=True, instrument_at_hand=False), "study"),
        (Traits(strain="low", loudness="loud", needs_instrument=True), Circumstances(quiet=True), "study"),
        (PLAYED, Circumstances(instrument_at_hand=False), "study"),
        (PLAYED, Circumstances(soreness=True), "study"),
        (SILENT, Circumstances(quiet=True, instrument_at_hand=False, soreness=True), "usual"),
        (Traits(strain="low", loudness="soft", needs_instrument=True), Circumstances(quiet=True), "usual"),
        (
            Traits(strain="none", loudness="soft", needs_instrument=False),
            Circumstances(soreness=True),
            "study",
        ),
        (
            Traits(strain="low", loudness="silent", needs_instrument=False),
            Circumstances(soreness=True),
            "study",
        ),
    ],
)
def test_an_own_task(traits: Traits, day: Circumstances, form: Form) -> None:
    assert form_for(traits, None, day, "repertoire", "none")[0] == form


def test_a_singer_without_the_voice_is_where_nobody_sings() -> None:
    away = Circumstances(instrument_at_hand=False)
    hummed = Traits(strain="low", loudness="soft", needs_instrument=False)
    assert form_for(hummed, None, away, "warm-up", "voice")[0] == "study"
    assert form_for(hummed, None, away, "warm-up", "keyboard")[0] == "usual"
    assert form_for(SILENT, None, away, "repertoire", "voice")[0] == "usual"
    assert not along_today(away, "voice", "refining").voice
    assert along_today(away, "keyboard", "refining").voice


def test_an_exercise_takes_its_soft_form_where_that_will_do() -> None:
    octaves = instruments().exercise("piano.octaves")  # softly: in the head, no strain, no sound
    scale = instruments().exercise("piano.major-scale")  # softly: on the lid, low strain, no sound
    day = Circumstances(soreness=True)
    assert form_for(PLAYED, octaves, day, "technique", "keyboard")[0] == "soft"
    assert form_for(PLAYED, scale, day, "technique", "keyboard") == ("study", SILENT)
    assert form_for(PLAYED, scale, Circumstances(quiet=True), "technique", "keyboard")[0] == "soft"


def test_another_form_counts_half_and_says_so() -> None:
    plan = plan_of(request(own_task("waltz", 60), circumstances={"quiet": True}))
    assert plan.tasks[0].factors.circumstances == 0.5
    assert plan.steps[0].stands_in_for == "waltz"
    assert plan.steps[0].what == "Waltz, softly: line 1"
    assert plan.steps[0].how == "as softly as it goes, else with the fingers alone; slowly"
    assert plan.steps[0].done_when == "twice clean; if not, leave it for next time"


def test_what_is_loud_is_gone_through_in_the_head() -> None:
    plan = plan_of(request(own_task("march", 60, loudness="loud"), circumstances={"quiet": True}))
    assert plan.steps[0].what == "March, in the head: line 1"


@pytest.mark.parametrize(
    ("instrument", "how"),
    [
        ("voice", "softly, no louder than speaking; slowly"),
        ("B-flat clarinet", "as softly as it speaks, else fingered with the breath alone; slowly"),
        ("bass trombone", "as softly as it speaks, else fingered with the breath alone; slowly"),
        ("Double Bass", "with a mute; slowly"),
        ("harp", "softly, with the flesh of the finger; slowly"),
        ("organ", "softly, or on headphones where it is electric; slowly"),
    ],
)
def test_an_ordinary_instrument_is_soft_in_one_way(instrument: str, how: str) -> None:
    march = own_task("march", 60)
    plan = plan_of(request(march, instrument=instrument, circumstances={"quiet": True}))
    assert plan.steps[0].how == how


def test_the_means_of_being_soft_are_the_instruments() -> None:
    march = own_task("march", 60)
    plan = plan_of(request(march, instrument="snare-drum", circumstances={"quiet": True}))
    assert plan.steps[0].how == "with bare hands, on the knees or a cushion; slowly"


def test_what_is_studied_prepares_nobody() -> None:
    tone = own_task("long tones", 60, area="tone") | {"id": "tones"}
    assert plan_of(request(tone)).tasks[0].prepares
    assert not plan_of(request(tone, circumstances={"instrument_at_hand": False})).tasks[0].prepares
