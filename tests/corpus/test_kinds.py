"""The corpus covers what it is said to cover, counted from the requests."""

from itertools import combinations
from typing import get_args

import pytest
from bagatelle import load_instruments
from bagatelle.model.vocabulary import AREAS, Area, Stage, Strain
from bagatelle_piano.plugin import MATERIAL as OF_PIANO
from bagatelle_snare_drum.plugin import MATERIAL as OF_SNARE_DRUM

from tests.corpus.kinds import HARDSHIPS, KINDS, hardships, tasks_of
from tests.corpus.worked_routine import names, routine

OWN_INSTRUMENTS = {
    "voice",
    "violin",
    "viola",
    "cello",
    "double bass",
    "fiddle",
    "flute",
    "oboe",
    "clarinet",
    "bassoon",
    "saxophone",
    "recorder",
    "trumpet",
    "horn",
    "trombone",
    "guitar",
    "harp",
    "organ",
    "accordion",
    "drum kit",
}
HARDSHIPS_TOGETHER = [
    frozenset(pair) for pair in combinations(sorted(HARDSHIPS), 2) if set(pair) != {"little time", "scraps"}
]


@pytest.mark.parametrize("kind", KINDS)
def test_there_are_routines_of_each_kind(kind: str) -> None:
    least, is_of_kind = KINDS[kind]
    found = [name for name in names() if is_of_kind(routine(name))]
    assert len(found) >= least, found


@pytest.mark.parametrize("hardship", sorted(HARDSHIPS))
def test_each_kind_of_hard_day_comes_alone(hardship: str) -> None:
    assert any(hardships(routine(name).request) == {hardship} for name in names())


@pytest.mark.parametrize("pair", HARDSHIPS_TOGETHER, ids=lambda pair: " and ".join(sorted(pair)))
def test_each_two_kinds_of_hard_day_come_together_without_a_third(pair: frozenset[str]) -> None:
    assert any(hardships(routine(name).request) == pair for name in names())


def test_instruments_without_a_catalogue_are_covered() -> None:
    own = {
        routine(name).student.instrument
        for name in names()
        if routine(name).request.instrument not in {"piano", "snare-drum"}
    }
    assert own == OWN_INSTRUMENTS


def test_a_catalogue_is_asked_for_by_its_own_students_alone() -> None:
    for one in map(routine, names()):
        if one.request.instrument is not None:
            assert one.student.instrument == one.request.instrument.replace("-", " ")


def test_every_exercise_in_code_is_practised() -> None:
    """What is made by code is read in a plan; of what is data, the kit has every sentence rendered."""
    practised = {task.exercise for name in names() for task in tasks_of(routine(name).request)}
    assert {*OF_PIANO, *OF_SNARE_DRUM} - practised == set()


@pytest.mark.parametrize("area", AREAS)
def test_every_area_is_practised(area: Area) -> None:
    exercises = load_instruments()
    requests = [routine(name).request for name in names()]
    named = {task.area for request in requests for task in tasks_of(request)}
    named |= {block.area for request in requests for block in request.routine.blocks}
    asked_for = {task.exercise for request in requests for task in tasks_of(request)}
    assert area in named | {exercises.exercise(exercise).area for exercise in asked_for if exercise}


@pytest.mark.parametrize("stage", get_args(Stage))
def test_every_stage_is_there(stage: Stage) -> None:
    assert any(task.stage == stage for name in names() for task in tasks_of(routine(name).request))


@pytest.mark.parametrize("strain", get_args(Strain))
def test_every_strain_is_there(strain: Strain) -> None:
    assert any(task.strain == strain for name in names() for task in tasks_of(routine(name).request))


def test_no_two_students_have_the_same_name() -> None:
    students = [routine(name).student.name for name in names()]
    assert len(set(students)) == len(students)
