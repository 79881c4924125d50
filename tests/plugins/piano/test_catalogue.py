"""The plugin as a whole: that the host takes it, that it is whole, safe and quick to import."""

import random
import re
import subprocess
import sys

import pytest
from bagatelle.contract import Message
from bagatelle.model.vocabulary import AREAS

from tests.plugins.piano.keys_of_music21 import MAJOR_KEYS, MINOR_KEYS
from tests.plugins.piano.loaded import instruments, material, said

PIANO = "piano"


def test_host_loads_it_without_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason, report.instruments) == ("loaded", None, (PIANO,))


def test_a_dozen_exercises_or_more_over_nearly_all_areas() -> None:
    assert len(instruments().exercises) >= 12
    assert {exercise.area for exercise in instruments().exercises} == set(AREAS)


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
    assert [exercise.id for exercise in high] == ["piano.octaves"]
    assert high[0].daily_cap_seconds == 300
    assert high[0].widest_interval_semitones == 12
    (caution,) = high[0].cautions
    text = instruments().wording.render(Message(caution), "en")
    assert all(word in text for word in ("pain", "numbness", "tingling", "doctor"))


def test_whatever_strains_has_a_caution_and_a_cap() -> None:
    for exercise in instruments().exercises:
        if exercise.strain in {"moderate", "high"}:
            assert exercise.cautions
            assert exercise.daily_cap_seconds is not None


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


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
def test_texts_keep_to_the_words_of_their_country(locale: str) -> None:
    foreign = {
        "en-GB": r"eighth|quarter note|half note|measure",
        "en-US": r"crotchet|quaver|minim|semibreve|\bbars?\b|interrupted",
    }[locale]
    for exercise in instruments().exercises:
        made = instruments().material(exercise.id, dict(exercise.defaults))
        parts = [
            *("title", "what", "how", "how_much", "done_when"),
            *("soft.what", "soft.how", "soft.done_when"),
        ]
        for part in parts:
            if instruments().wording.has(f"{exercise.id}.{part}", locale):
                text = said(exercise.id, part, made, len(made.units), locale)
                assert not re.search(foreign, text), text


def test_what_is_said_of_two_keys_and_of_one() -> None:
    made = material("piano.major-scale", keys=["A", "D"], octaves=2, bpm=92, notes_per_beat=2, passes=4)
    parts = ("what", "how", "how_much", "done_when")
    assert [said("piano.major-scale", part, made, 2) for part in parts] == [
        "Major scales in D and A",
        "hands together, two octaves up and down, legato, quavers at crotchet = 92",
        "four passes of each key",
        "every key even and without a stumble at 92, twice in a row",
    ]
    assert [said("piano.major-scale", part, made, 1) for part in parts] == [
        "Major scale in D",
        "hands together, two octaves up and down, legato, quavers at crotchet = 92",
        "four passes",
        "even and without a stumble at 92, twice in a row",
    ]


@pytest.mark.parametrize("exercise", ["piano.major-scale", "piano.arpeggio", "piano.contrary-motion-scale"])
def test_major_units_come_in_the_circle_of_fifths_whatever_the_order_given(exercise: str) -> None:
    shuffled = random.Random(5).sample(MAJOR_KEYS, len(MAJOR_KEYS))  # noqa: S311 - no secret
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


def test_import_takes_less_than_fifty_milliseconds() -> None:
    """Best of five, beyond the contract, in a fresh interpreter each."""
    program = (
        "import time, bagatelle.contract; start = time.perf_counter(); import bagatelle_piano.plugin; "
        "print(time.perf_counter() - start)"
    )
    times = [
        float(
            subprocess.run([sys.executable, "-c", program], capture_output=True, check=True, text=True).stdout
        )
        for _ in range(5)
    ]
    assert min(times) < 0.050


def test_it_imports_nothing_of_the_host_but_the_contract() -> None:
    program = (
        "import sys, bagatelle.contract; before = set(sys.modules); import bagatelle_piano.plugin as plugin; "
        "plugin.bagatelle_instruments(); plugin.bagatelle_texts(); "
        "print(*[name for name in set(sys.modules) - before if name.startswith('bagatelle.')])"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True, text=True)
    assert run.stdout.strip() == ""
