"""What a catalogue in TOML comes to: exercises, units, sentences."""

import math
from fractions import Fraction
from typing import Any

import pytest
from bagatelle import Instruments
from bagatelle.catalogue.faults import Fault
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.exercise import NoteTiming, PlainTiming
from bagatelle.model.text import Message, Value
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.toml_catalogue.kazoo import KAZOO, catalogue, loaded


@pytest.fixture(scope="module")
def kazoo() -> Instruments:
    return loaded()


def test_the_small_catalogue_loads(kazoo: Instruments) -> None:
    assert [(report.status, report.reason, report.contract) for report in kazoo.plugins] == [
        ("loaded", None, 2)
    ]
    assert [exercise.id for exercise in kazoo.exercises] == ["kazoo.scales", "kazoo.tune"]


def test_what_is_known_of_the_instrument(kazoo: Instruments) -> None:
    instrument = kazoo.instruments[0]
    assert (instrument.lowest_pitch, instrument.highest_pitch, instrument.sounds_semitones) == (60, 84, -12)
    assert [(string.name, string.pitch) for string in instrument.strings] == [("a rubber band", 69)]
    assert kazoo.proposal("kazoo", "tone") is not None


def test_units_come_in_the_order_in_which_they_are_given(kazoo: Instruments) -> None:
    material = kazoo.material("kazoo.scales", kazoo.exercise("kazoo.scales").defaults)
    assert [unit.id for unit in material.units] == ["g-major", "c-major"]
    assert [(unit.lowest_pitch, unit.highest_pitch) for unit in material.units] == [(67, 79), (60, 72)]


@given(octaves=st.integers(1, 2), passes=st.integers(1, 8), bpm=st.integers(40, 160))
def test_seconds_are_notes_and_as_much_rest(kazoo: Instruments, octaves: int, passes: int, bpm: int) -> None:
    settings = {"keys": ["c-major"], "octaves": octaves, "passes": passes, "bpm": bpm, "place": "room"}
    (unit,) = kazoo.material("kazoo.scales", settings).units
    played = Fraction(14 * octaves + 1, 2) * Fraction(60, bpm) * passes
    assert isinstance(unit.timing, NoteTiming)
    assert unit.timing.pause_seconds == math.ceil(played)
    assert (unit.timing.notes, unit.timing.passes, unit.timing.bpm) == (14 * octaves + 1, passes, bpm)


def test_a_plain_length_counts_its_passes(kazoo: Instruments) -> None:
    (unit,) = kazoo.material("kazoo.tune", {"piece": "x", "passes": 3}).units
    assert unit.timing == PlainTiming(seconds=120)
    assert unit.id == "tune"


@pytest.mark.parametrize(("place", "loudness"), [("room", "moderate"), ("hall", "loud")])
def test_loudness_hangs_on_a_setting(kazoo: Instruments, place: str, loudness: str) -> None:
    settings = {**kazoo.exercise("kazoo.scales").defaults, "place": place}
    assert kazoo.material("kazoo.scales", settings).loudness == loudness


def test_sentences(kazoo: Instruments) -> None:
    assert said(kazoo, "what", count=1) == "Scales of one: G major"
    assert said(kazoo, "what") == "Scales of one: G major and C major"
    assert said(kazoo, "how") == "in a room, crotchet = 80, in quavers"
    assert said(kazoo, "how", locale="en-US") == "in a room, quarter note = 80, in eighth notes"
    assert said(kazoo, "how_much", count=1) == "twice"
    assert said(kazoo, "how_much", passes=1) == "each once"
    assert said(kazoo, "how_much", passes=5) == "each five times"
    assert said(kazoo, "done_when") == "all two are done"


def test_what_a_unit_needs(kazoo: Instruments) -> None:
    units = kazoo.material("kazoo.scales", kazoo.exercise("kazoo.scales").defaults).units
    details = [unit.detail for unit in units]
    assert [kazoo.wording.render(each, "en") for each in details if each is not None] == [
        "one sharp",
        "no sharps, in quavers",
    ]


def test_other_locales_say_what_they_say_otherwise(kazoo: Instruments) -> None:
    done_when = Message("kazoo.tune.done_when")
    assert kazoo.wording.render(done_when, "en") == "it ends where it began"
    assert kazoo.wording.render(done_when, "en-US") == "it ends where it started"


def test_cautions_are_the_catalogues_own_or_built_in(kazoo: Instruments) -> None:
    own, built_in = kazoo.exercise("kazoo.scales").cautions
    assert kazoo.wording.render(Message(own), "en") == "Stop when it makes you dizzy."
    assert "lip" in kazoo.wording.render(Message(built_in), "en")


def test_words_of_a_learner_are_shown_as_they_are(kazoo: Instruments) -> None:
    words = "<b>{passes}</b> & co"
    material = kazoo.material("kazoo.tune", {"piece": words, "passes": 1})
    assert kazoo.wording.render(Message("kazoo.tune.what", material.parameters), "en") == words


# Range ----------------------------------------------------------------------------------------------------


def test_settings_that_leave_the_range_are_refused_with_the_nearest_that_fits(kazoo: Instruments) -> None:
    settings = {**kazoo.exercise("kazoo.scales").defaults, "octaves": 3, "keys": ["c-major"]}
    with pytest.raises(InvalidInputError) as caught:
        kazoo.material("kazoo.scales", settings, "/settings")
    (error,) = caught.value.errors
    assert error.pointer == "/settings"
    assert error.message == "The unit 'c-major' goes up to C7, above C6."
    assert error.accepted == "the nearest that fits: octaves 2"


def test_a_unit_that_would_last_too_long_is_refused_with_the_nearest_that_fits() -> None:
    instruments = loaded(KAZOO.replace('pause_seconds = "played"', 'pause_seconds = "250 * passes"'))
    settings = {**instruments.exercise("kazoo.scales").defaults, "passes": 4}
    with pytest.raises(InvalidInputError) as caught:
        instruments.material("kazoo.scales", settings)
    (error,) = caught.value.errors
    assert error.message == "The unit 'g-major' would last 1023 seconds (accepted: 5 to 600)."
    assert error.accepted == "the nearest that fits: passes 2"


@pytest.mark.parametrize("bpm", [91, 112])
def test_a_unit_lasts_whole_seconds_rounded_up(bpm: int) -> None:
    """15 notes, two to the beat: 4.95 s at 91 are counted as 5, 4.02 s at 112 too."""
    kazoo = loaded(KAZOO.replace('pause_seconds = "played"', "pause_seconds = 0"))
    settings = {**kazoo.exercise("kazoo.scales").defaults, "keys": ["c-major"], "passes": 1}
    (unit,) = kazoo.material("kazoo.scales", {**settings, "bpm": bpm}).units
    assert time_of(unit.timing).seconds == 5
    with pytest.raises(
        InvalidInputError, match=r"The unit 'c-major' would last 4 seconds \(accepted: 5 to 600\)"
    ):
        kazoo.material("kazoo.scales", {**settings, "bpm": 113})


def test_defaults_that_leave_the_range_are_a_fault() -> None:
    report = loaded(KAZOO.replace('highest = "C6"', 'highest = "F5"')).plugins[0]
    line = KAZOO[: KAZOO.index('[[choices.key]]\nname = "g-major"')].count("\n") + 1
    assert report.reason == (
        f"kazoo.toml, line {line}: /choices/key/1: 'g-major' as a unit goes up to G5 "
        "(accepted: to F5, the instrument's highest)"
    )


def test_defaults_that_leave_the_range_where_others_do_not_are_a_fault() -> None:
    # From G4 an octave stays below A5, and two do not.
    two_octaves = KAZOO.replace(
        'about = "Octaves."\nwhole = [1, 3]\ndefault = 1', 'about = "Octaves."\nwhole = [1, 3]\ndefault = 2'
    )
    report = loaded(two_octaves.replace('highest = "C6"', 'highest = "A5"')).plugins[0]
    assert report.reason == (
        "kazoo.scales: the defaults leave the instrument's range: The unit 'g-major' goes up to G6, above A5."
    )


def test_two_files_share_what_they_name() -> None:
    beginning, tune = KAZOO.split('[[exercise]]\nname = "tune"')
    second = f'form = 1\n[[exercise]]\nname = "tune"{tune}'
    whole, apart = catalogue(KAZOO), catalogue(beginning, second)
    assert apart.instrument == whole.instrument
    assert {text.locale: dict(text.messages) for text in apart.texts} == {
        text.locale: dict(text.messages) for text in whole.texts
    }
    fault = apart.places.fault(Fault("kazoo.tune", "is flat"))
    assert (fault.file, fault.line, fault.reason) == ("more-1.toml", 2, "/exercise/0: is flat")
    fault = apart.places.fault(Fault("kazoo.song", "is flat"))
    assert (fault.file, fault.line, fault.reason) == ("kazoo.toml", 3, "/instrument: kazoo.song: is flat")


def said(kazoo: Instruments, part: str, *, count: int = 2, locale: str = "en", **settings: Any) -> str:
    material = kazoo.material("kazoo.scales", {**kazoo.exercise("kazoo.scales").defaults, **settings})
    of_dose: dict[str, Value] = {
        "units": tuple(unit.label for unit in material.units[:count]),
        "unit_count": count,
        "unit_count_in_words": Message(f"engine.number.{count}"),
    }
    return kazoo.wording.render(Message(f"kazoo.scales.{part}", {**material.parameters, **of_dose}), locale)
