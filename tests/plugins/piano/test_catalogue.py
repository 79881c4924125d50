"""The plugin as a whole: that the host takes it, that it is whole, safe and quick to import."""

import ast
import time

import pytest
from bagatelle.contract import Message
from bagatelle.engine.timing import time_of
from bagatelle.model.vocabulary import AREAS
from bagatelle_piano.plugin import bagatelle_material

from tests.plugins.piano.keys_of_music21 import MAJOR_KEYS, MINOR_KEYS
from tests.plugins.piano.loaded import DISTRIBUTION, entries, instruments, made_by_code, material, shared
from tests.seeded import seeded

PIANO = "piano"


def test_host_loads_it_without_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason, report.instruments) == ("loaded", None, (PIANO,))


def test_the_first_exercises_keep_their_ids() -> None:
    """Histories of learners name them."""
    assert {each.removeprefix("piano.") for each in made_by_code()} == {
        *("arpeggio", "broken-chord", "cadence", "chorale", "chromatic-scale", "contrary-motion-scale"),
        *("cross-rhythm", "double-thirds", "five-finger", "ground-improvisation", "interval-singing"),
        *("key-signatures", "major-scale", "minor-scale", "octaves", "passage", "repeated-notes"),
        *("run-through", "sight-reading", "trill", "warm-up"),
    }


def test_many_exercises_over_all_areas_and_levels() -> None:
    own = [each for each in instruments().exercises if each.id not in shared()]
    assert len(own) >= 44
    assert {exercise.area for exercise in own} == set(AREAS) - {"warm-down"}  # of lips and voices
    assert {exercise.level for exercise in own} == {
        *("beginner", "elementary", "intermediate", "advanced", "professional")
    }
    assert [each.id for each in instruments().exercises] == sorted(
        each.id for each in instruments().exercises
    )


def test_nothing_has_two_ids() -> None:
    """What code makes is not taken a second time from what instruments share."""
    titles = [
        instruments().wording.render(Message(f"{each.id}.title"), "en") for each in instruments().exercises
    ]
    assert len(set(titles)) == len(titles)
    assert shared().isdisjoint(made_by_code())


def test_music_at_sight_is_read_once() -> None:
    """What is played from keys or staves without a piece may be done again."""
    again = {each.id for each in instruments().exercises if each.area == "sight-reading" and each.goes_round}
    assert again == {"piano.keys-by-feel", "piano.notes-on-staves"}


def test_each_area_has_a_proposal_with_a_length() -> None:
    for area in AREAS:
        proposal = instruments().proposal(PIANO, area)
        assert proposal is not None
        assert (proposal.bars is not None and proposal.bpm is not None) != (proposal.seconds is not None)


@pytest.mark.parametrize("area", AREAS)
def test_a_proposal_names_the_bars_and_the_speed_that_it_counts_with(area: str) -> None:
    """The words say the same number of bars and the same speed as the fields."""
    proposal = next(each for each in instruments().instrument(PIANO).proposals if each.area == area)  # type: ignore[union-attr] # loaded, as tested above
    label, manner = (
        instruments().wording.render(Message(each), "en") for each in (proposal.label, proposal.manner)
    )
    if proposal.bars is not None:
        words = {4: "four", 8: "eight"}
        assert f"{words[int(proposal.bars)]} bars" in label
        assert f"crotchet = {int(proposal.bpm or 0)}" in manner


def test_high_strain_comes_with_cap_caution_and_clinician() -> None:
    high = [exercise for exercise in instruments().exercises if exercise.strain == "high"]
    assert {each.id: (each.daily_cap_seconds, each.widest_interval_semitones) for each in high} == {
        "piano.double-sixths": (180, 9),
        "piano.octaves": (300, 12),
        "piano.wide-chords": (180, 16),
    }
    for exercise in high:
        (caution,) = exercise.cautions
        text = instruments().wording.render(Message(caution), "en")
        assert all(word in text for word in ("pain", "numbness", "tingling", "doctor"))


def test_whatever_strains_has_a_cap_and_of_the_first_ones_only_what_strains_most_a_caution_of_its_own() -> (
    None
):
    """With moderate strain the engine says its own caution, once for a plan."""
    for exercise in instruments().exercises:
        if exercise.strain in {"moderate", "high"} and exercise.id not in shared():
            assert exercise.daily_cap_seconds is not None
        if exercise.id in made_by_code():
            assert bool(exercise.cautions) == (exercise.strain == "high")


@pytest.mark.parametrize("identifier", sorted(entries()))
def test_what_strains_in_the_data_has_a_caution_and_fits_into_its_day(identifier: str) -> None:
    """The caps are cautious defaults: no safe figure is known."""
    exercise = instruments().exercise(identifier)
    assert bool(exercise.cautions) == (exercise.strain in {"moderate", "high"})
    for caution in exercise.cautions:
        assert "doctor or physiotherapist" in instruments().wording.render(Message(caution), "en")
    if exercise.daily_cap_seconds is not None:
        assert exercise.daily_cap_seconds <= (300 if exercise.strain == "moderate" else 180)
        seconds = sum(time_of(unit.timing).seconds for unit in material(identifier).units)
        assert seconds <= exercise.daily_cap_seconds
        assert exercise.soft_form is not None
        assert exercise.soft_form.strain in {"none", "low"}


def test_warm_up_stands_in_and_needs_no_preparation() -> None:
    warm_up = instruments().stand_in(PIANO)
    assert warm_up is not None
    assert warm_up.strain == "low"
    assert warm_up.set_up_seconds == 0


def test_soft_forms_need_no_instrument_and_strain_no_more() -> None:
    order = ("none", "low", "moderate", "high")
    for exercise in instruments().exercises:
        if exercise.soft_form is not None:
            assert not exercise.soft_form.needs_instrument
            assert exercise.soft_form.loudness in {"silent", "soft"}
            assert order.index(exercise.soft_form.strain) <= order.index(exercise.strain)


@pytest.mark.parametrize("exercise", ["piano.major-scale", "piano.arpeggio", "piano.contrary-motion-scale"])
def test_major_units_come_in_the_circle_of_fifths_whatever_the_order_given(exercise: str) -> None:
    shuffled = seeded("keys").sample(MAJOR_KEYS, len(MAJOR_KEYS))
    units = [unit.id for unit in material(exercise, keys=shuffled).units]
    assert units == [name.replace("#", "-sharp").replace("b", "-flat") for name in MAJOR_KEYS]


def test_minor_units_come_in_the_circle_of_fifths_and_by_form() -> None:
    forms = ("natural", "harmonic", "melodic")
    made = material(
        "piano.minor-scale", keys=list(reversed(MINOR_KEYS)), forms=["melodic", "natural", "harmonic"]
    )
    assert [unit.id for unit in made.units] == [
        f"{name.replace('#', '-sharp').replace('b', '-flat')}-{form}" for name in MINOR_KEYS for form in forms
    ]


def test_it_imports_nothing_of_the_host_but_the_contract_and_what_reads_catalogues() -> None:
    nodes = [
        node
        for path in (DISTRIBUTION / "bagatelle_piano").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
    ]
    imported = {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.module}
    imported |= {alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names}
    of_the_host = {name for name in imported if name.partition(".")[0] == "bagatelle"}
    assert of_the_host == {"bagatelle.contract", "bagatelle.toml_catalogue"}


def test_material_is_quick_once_its_notes_are_known() -> None:
    """Eleven scales over four octaves: 45 to 60 microseconds on the machine where it was first measured.

    Best of many; the bound leaves room for a slow and busy machine and is far below the 2 ms of spelling them.
    """
    keys = ["C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Db"]
    complete = instruments().complete_settings("piano.major-scale", {"keys": keys, "octaves": 4})
    times = []
    for _ in range(50):
        start = time.perf_counter()
        bagatelle_material("piano.major-scale", complete)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.0005
