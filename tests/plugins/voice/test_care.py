"""What keeps a voice safe: caps, cautions, silence that is silence, nobody sent to ear plugs."""

import re

import pytest
from bagatelle.contract import Exercise, Message
from bagatelle.model.vocabulary import AREAS

from tests.plugins.voice.loaded import (
    caution_texts,
    exercises,
    has_text,
    instruments,
    material,
    said,
    shared,
)

NAMES = list(exercises())
SUNG = [name for name, entry in exercises().items() if entry.needs_instrument and entry.loudness != "silent"]


def test_the_host_loads_it_without_a_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason, report.instruments) == ("loaded", None, ("voice",))


def test_forty_exercises_and_more_over_all_areas_and_levels() -> None:
    assert len(NAMES) >= 40
    assert {entry.area for entry in exercises().values()} == set(AREAS)
    assert {entry.level for entry in exercises().values()} == {
        "beginner",
        "elementary",
        "intermediate",
        "advanced",
        "professional",
    }


@pytest.mark.parametrize("exercise", shared())
def test_what_instruments_share_is_there_and_says_nothing_of_playing(exercise: str) -> None:
    made = material(exercise)
    for form in ("", "soft."):
        for part in ("what", "how", "how_much", "done_when"):
            if has_text(exercise, form + part):
                assert not re.search(r"\bplay|\bfinger", said(exercise, form + part, made, 1)) or (
                    exercise == "rhythm-away"
                )


def test_every_area_has_a_proposal_with_a_length() -> None:
    for area in AREAS:
        proposal = instruments().proposal("voice", area)
        assert proposal is not None
        assert (proposal.bars is not None and proposal.bpm is not None) != (proposal.seconds is not None)


def test_one_stand_in_of_two_minutes_without_a_range() -> None:
    (stand_in,) = [entry for entry in exercises().values() if entry.warm_up_stand_in]
    assert instruments().stand_in("voice") == stand_in
    assert stand_in.id == "voice.easy-glides"
    assert (stand_in.area, stand_in.strain, stand_in.loudness) == ("warm-up", "low", "soft")
    assert stand_in.usual_minutes == 2
    assert "voice" not in stand_in.settings_schema["properties"]


@pytest.mark.parametrize("exercise", SUNG)
def test_whatever_is_sung_or_spoken_has_a_cap_and_a_caution(exercise: str) -> None:
    entry = exercises()[exercise]
    assert entry.daily_cap_seconds is not None
    # Songs are longer than exercises.
    low, moderate, high = (900, 1200, 240) if entry.area == "repertoire" else (900, 480, 240)
    assert entry.daily_cap_seconds <= {"low": low, "moderate": moderate, "high": high}[entry.strain]
    assert entry.cautions


@pytest.mark.parametrize("exercise", [name for name in NAMES if exercises()[name].strain == "high"])
def test_what_strains_most_is_for_a_teacher_to_hear_and_not_for_every_day(exercise: str) -> None:
    entry = exercises()[exercise]
    words = " ".join(caution_texts(entry))
    assert "teacher" in words
    assert "laryngologist" in words
    assert entry.cadence_days is not None
    assert entry.cadence_days >= 2
    assert re.search(r"ends? (?:it )?for today", said(exercise, "done_when", material(exercise), 1))


def test_low_notes_of_strain_are_softer_than_high_ones() -> None:
    assert exercises()["range-up"].strain == "high"
    assert exercises()["range-down"].strain == "moderate"
    assert exercises()["range-down"].loudness == "soft"


@pytest.mark.parametrize("exercise", ["young-hums", "young-fives", "young-vowels"])
def test_young_voices_go_to_a_teacher(exercise: str) -> None:
    entry = exercises()[exercise]
    assert entry.strain == "low"
    assert entry.daily_cap_seconds is not None
    assert entry.daily_cap_seconds <= 360
    assert "teacher" in " ".join(caution_texts(entry))


def test_hoarseness_is_seen_to_sooner_than_the_guideline_says() -> None:
    """Four weeks at most: AAO-HNS guideline on hoarseness (2018), as summarised. Here two to three."""
    texts = {text for entry in exercises().values() for text in caution_texts(entry)}
    weeks = [text for text in texts if "weeks" in text]
    assert weeks
    for text in weeks:
        assert "two to three weeks" in text
        assert "laryngologist" in text


def silent_forms(entry: Exercise) -> list[str]:
    """How the parts of its silent forms begin."""
    forms = [""] if entry.loudness == "silent" else []
    return [*forms, "soft."] if entry.soft_form and entry.soft_form.loudness == "silent" else forms


@pytest.mark.parametrize("exercise", [name for name in NAMES if silent_forms(exercises()[name])])
def test_what_is_silent_has_no_hum_no_trill_and_no_whisper(exercise: str) -> None:
    """A hoarse voice does none of them."""
    made = material(exercise)
    for form in silent_forms(exercises()[exercise]):
        for part in ("what", "how", "how_much", "done_when"):
            if has_text(exercise, form + part):
                text = said(exercise, form + part, made, 1)
                voiced = (
                    r"\bhum(?:med|s)?\b|\btrills?\b|whisper|\bspoken\b|\bsung\b|\baloud\b|through a straw"
                )
                found = re.findall(voiced, text)
                allowed = {
                    # Named as what it stands in place of, as the label of a unit, or as what was never sung.
                    ("easy-glides", "trill"),
                    ("sight-singing", "sung"),
                }
                assert not [each for each in found if (exercise, each) not in allowed], text


@pytest.mark.parametrize("exercise", NAMES)
def test_what_is_silent_needs_no_voice_and_strains_nothing(exercise: str) -> None:
    entry = exercises()[exercise]
    if entry.loudness == "silent":
        assert not entry.needs_instrument
        assert entry.strain == "none"
    if entry.soft_form is not None and entry.soft_form.loudness == "silent":
        assert not entry.soft_form.needs_instrument
        assert entry.soft_form.strain == "none"
    if entry.soft_form is not None and entry.soft_form.needs_instrument:
        assert entry.soft_form.loudness == "soft"
        assert entry.soft_form.strain == "low"


def test_nobody_who_sings_is_sent_to_ear_plugs() -> None:
    for exercise, entry in exercises().items():
        texts = [
            said(exercise, form + part, material(exercise), 1)
            for form in ("", "soft.")
            for part in ("what", "how", "how_much", "done_when")
            if has_text(exercise, form + part)
        ]
        assert not re.search(r"\bplugs?\b|earplug", " ".join([*texts, *caution_texts(entry)]))


@pytest.mark.parametrize("exercise", ["silent-breath", "equal-counts", "hiss", "breath-pulses"])
def test_breath_comes_with_the_caution_of_a_light_head(exercise: str) -> None:
    words = " ".join(caution_texts(exercises()[exercise]))
    assert "light-headed" in words
    assert "doctor" in words


def test_every_fact_says_how_it_is_known() -> None:
    statuses = {source.status for entry in exercises().values() for source in entry.sources}
    assert statuses == {"secondary", "computed", "from memory", "common practice, no source"}
    passages = instruments().exercise("voice.first-passage").sources
    assert "from memory" in {source.status for source in passages}


def test_the_name_of_the_instrument() -> None:
    assert instruments().wording.render(Message("voice.name"), "en") == "voice"
