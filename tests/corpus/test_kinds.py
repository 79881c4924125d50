"""The corpus covers what it is said to cover, counted from the requests."""

from itertools import combinations
from typing import get_args

import pytest
from bagatelle import load_instruments
from bagatelle.model.vocabulary import AREAS, Area, Stage, Strain
from bagatelle_piano.plugin import MATERIAL as OF_PIANO
from bagatelle_snare_drum.plugin import MATERIAL as OF_SNARE_DRUM

from tests.corpus.kinds import HARDSHIPS, KINDS, hardships, quarter_of_two_hours, tasks_of
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
INSTRUMENTS = sorted(instrument.id for instrument in load_instruments().instruments)
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


def test_instruments_are_covered_without_a_catalogue_too() -> None:
    own = {
        one.student.instrument
        for one in map(routine, names())
        if all(task.exercise is None for task in tasks_of(one.request))
    }
    assert own == OWN_INSTRUMENTS


def test_a_catalogue_is_asked_for_by_its_own_students_alone() -> None:
    for one in map(routine, names()):
        if one.request.instrument is not None:
            assert one.student.instrument == one.request.instrument.replace("-", " ")
        asked_for = {task.exercise for task in tasks_of(one.request) if task.exercise}
        assert {exercise.partition(".")[0] for exercise in asked_for} <= {one.request.instrument}


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_each_catalogue_has_the_quarter_of_two_hours(instrument: str) -> None:
    """Mostly exercises of the catalogue, by somebody who would practise for so long."""
    quarters = [
        one.request
        for one in map(routine, names())
        if one.request.instrument == instrument and quarter_of_two_hours(one.request)
    ]
    assert quarters
    for request in quarters:
        tasks = tasks_of(request)
        assert sum(task.exercise is not None for task in tasks) > len(tasks) / 2
        assert request.learner.level in {"intermediate", "advanced", "professional"}
        assert request.history


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
