"""Musicianship as a whole: that the host takes it, that it is whole, quiet and easy on the body."""

import re
from typing import get_args

import pytest
from bagatelle.contract import Message
from bagatelle.engine.timing import time_of
from bagatelle.model.vocabulary import AREAS, Level

from tests.plugins.musicianship.loaded import choices, entries, instruments, material, parts

ID = "musicianship"
MENTAL_SECONDS = 20 * 60
"""About twenty minutes are the most useful length of mental practice: Driskell, Copper and Moran 1994, J. Appl.
Psychol. 79 (from memory)."""
IN_THE_HEAD = re.compile(r"\b(imagined|in the head|(?<!tapped )from memory|heard inwardly, played)\b")


def test_host_loads_it_without_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason, report.instruments) == ("loaded", None, (ID,))


def test_every_area_has_exercises_and_all_levels_are_met() -> None:
    exercises = [instruments().exercise(each) for each in entries()]
    assert len(exercises) >= 40
    assert {exercise.area for exercise in exercises} == set(AREAS) - {"warm-down"}  # of lips and voices
    assert {exercise.level for exercise in exercises} == set(get_args(Level))


def test_nothing_needs_an_instrument_or_strains_or_is_louder_than_talk() -> None:
    for exercise in instruments().exercises:
        assert not exercise.needs_instrument
        assert exercise.strain in {"none", "low"}
        assert exercise.loudness in {"silent", "soft"}
        if exercise.soft_form is not None:
            assert exercise.soft_form.loudness in {"silent", "soft"}
            assert not exercise.soft_form.needs_instrument


def test_a_silent_form_is_for_what_sounds() -> None:
    for exercise in instruments().exercises:
        if exercise.soft_form is not None:
            assert exercise.loudness == "soft"


def test_work_in_the_head_alone_has_the_cap_of_a_day_and_nothing_else_has() -> None:
    capped = {exercise.id for exercise in instruments().exercises if exercise.daily_cap_seconds is not None}
    for exercise in capped:
        known = instruments().exercise(exercise)
        assert known.daily_cap_seconds == MENTAL_SECONDS
        assert "Driskell" in " ".join(source.source for source in known.sources)
        assert known.usual_minutes * 60 <= MENTAL_SECONDS
    own = {name for name, entry in entries().items() if "mental" in entry["sources"]}
    assert capped >= own
    said = {name for name, entry in entries().items() if IN_THE_HEAD.search(str(entry["what"]))}
    assert said <= capped


def test_the_warm_up_that_stands_in_is_two_minutes_of_area_warm_up() -> None:
    warm_up = instruments().stand_in(ID)
    assert warm_up is not None
    assert (warm_up.id, warm_up.area, warm_up.set_up_seconds) == (f"{ID}.warm-up", "warm-up", 0)
    assert [each.id for each in instruments().exercises if each.warm_up_stand_in] == [warm_up.id]
    assert sum(time_of(unit.timing).seconds for unit in material(warm_up.id).units) == 120


@pytest.mark.parametrize("area", AREAS)
def test_each_area_has_a_proposal_that_says_the_length_it_counts_with(area: str) -> None:
    proposal = next(each for each in instruments().instruments[0].proposals if each.area == area)
    label, manner = (
        instruments().wording.render(Message(each), "en") for each in (proposal.label, proposal.manner)
    )
    assert (proposal.bars is not None and proposal.bpm is not None) != (proposal.seconds is not None)
    if proposal.bars is not None and proposal.bpm is not None:
        words = {4: "four", 8: "eight"}
        assert f"{words[int(proposal.bars)]} bars" in label or "two-bar answer to a two-bar question" in label
        assert f"{int(proposal.bpm)} beats a minute" in manner


def test_everything_that_is_named_once_is_used() -> None:
    """No source, caution or list of choices stands there for nothing."""
    used_sources = {name for entry in entries().values() for name in entry["sources"]}
    used_cautions = {name for entry in entries().values() for name in entry.get("cautions", ())}
    used_lists = {
        setting["of"]
        for entry in entries().values()
        for setting in entry.get("settings", {}).values()
        if "of" in setting
    }
    for part in parts():
        assert set(part.get("sources", {})) <= used_sources
        assert set(part.get("cautions", {})) <= used_cautions
        assert set(part.get("choices", {})) <= used_lists


def test_every_exercise_says_where_its_facts_and_seconds_come_from() -> None:
    for entry in entries().values():
        assert {"habit", "seconds"} <= set(entry["sources"])


def test_labels_of_a_list_are_all_different() -> None:
    for part in parts():
        for name in part.get("choices", {}):
            labels = [each["label"] for each in choices(name)]
            assert len(labels) == len(set(labels)), name


def test_earphones_come_with_a_caution_that_defers_to_an_audiologist() -> None:
    caution = instruments().wording.render(Message(f"{ID}.caution.earphones"), "en")
    assert "audiologist" in caution
    with_it = {name for name, entry in entries().items() if "earphones" in entry.get("cautions", ())}
    assert f"{ID}.transcription" in with_it


def test_what_is_read_at_sight_is_read_once() -> None:
    """New lines do not stay new."""
    for name, entry in entries().items():
        if re.search(r"\b(New|never|unread|before it sounds|before the tuner)\b", str(entry["what"])):
            assert not instruments().exercise(name).goes_round, name
