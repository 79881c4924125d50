"""The catalogue as a teacher of the guitar insists on it, and every sentence of it at odd settings."""

import re
from collections.abc import Mapping
from typing import get_args

import pytest
from bagatelle.contract import Exercise, Message
from bagatelle.engine.timing import time_of
from bagatelle.model.vocabulary import AREAS, Level
from bagatelle_guitar.plugin import plugin

from tests.plugins.guitar.loaded import (
    documents,
    exercises,
    has_text,
    instruments,
    material,
    own_exercises,
    said,
)
from tests.plugins.guitar.test_lengths import at_bounds, made_or_refused

OWN = pytest.mark.parametrize(("name", "exercise"), own_exercises().items(), ids=list(own_exercises()))
PARTS = ("what", "how", "how_much", "done_when", "soft.what", "soft.how", "soft.how_much", "soft.done_when")
BRITISH_ONLY = re.compile(
    r"crotchet|quaver|\bmetres?\b|colour|\bbars?\b|semitone|\b(a|two|three) tones?\b|spelt|plectrum|programme"
)
BARS_OF_BLUES = re.compile(r"[Tt]welve-bar blues")
AMERICAN_ONLY = re.compile(
    r"quarter|sixteenth|eighth note|\bmeters?\b|\bmeasures?\b|color|half step|\bpick\b"
)
# What needs nobody's fingers or ears has no softer form.
WITHOUT_INSTRUMENT = {"loosening", "spelling-keys", "capo-keys"}


def test_the_host_takes_it_without_a_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason) == ("loaded", None)
    assert all(
        instruments().settings_errors(each.id, each.defaults) == () for each in instruments().exercises
    )


def test_it_serves_all_areas_and_all_levels() -> None:
    own = own_exercises().values()
    assert {exercise.area for exercise in own} == set(AREAS) - {"warm-down"}  # of lips and voices
    assert {exercise.level for exercise in own} == set(get_args(Level))


@OWN
def test_a_soft_form_strains_little_and_sounds_little(name: str, exercise: Exercise) -> None:
    if name in WITHOUT_INSTRUMENT:
        assert (exercise.soft_form, exercise.loudness, exercise.needs_instrument) == (None, "silent", False)
        return
    assert exercise.soft_form is not None
    assert exercise.soft_form.strain in {"none", "low"}
    assert exercise.soft_form.loudness in {"silent", "soft"}


@pytest.mark.parametrize("name", ["half-barre", "barre-chords", "barre-changes"])
def test_a_barre_can_be_laid_on_without_pressing(name: str) -> None:
    soft = own_exercises()[name].soft_form
    assert soft is not None
    assert (soft.loudness, soft.needs_instrument) == ("silent", True)
    made = material(name, own_exercises()[name].defaults)
    assert "without pressing" in said(name, "soft.what", made, 1, "en")


@OWN
def test_what_strains_carries_its_caution_and_its_cap(name: str, exercise: Exercise) -> None:
    strains = exercise.strain in {"moderate", "high"}
    texts = [instruments().wording.render(Message(caution), "en") for caution in exercise.cautions]
    defers = [text for text in texts if "doctor or physiotherapist" in text]
    assert bool(defers) == strains
    assert (exercise.daily_cap_seconds is not None) == strains
    if exercise.daily_cap_seconds is not None:
        assert exercise.usual_minutes * 60 <= exercise.daily_cap_seconds
    if exercise.strain == "high":
        assert exercise.daily_cap_seconds is not None
        # As short as teachers keep barre, reaches and bursts: common practice, no source.
        assert exercise.daily_cap_seconds <= 480, name


def test_barres_reaches_chains_of_slurs_bursts_and_bends_count_as_strain() -> None:
    high = {name for name, exercise in own_exercises().items() if exercise.strain == "high"}
    assert high == {
        "barre-chords",
        "barre-changes",
        "reach",
        "bends",
        "slurred-trills",
        "slur-chains",
        "bursts",
        "crossing-bursts",
    }


def test_cautions_stop_and_defer() -> None:
    (cautions,) = (document["cautions"] for document in documents() if "cautions" in document)
    for name in ("hands", "barre", "reach", "skin"):
        assert "doctor" in cautions[name]
    assert all(word in cautions["hands"] for word in ("hurts", "tingles", "numb", "stop"))
    assert all(word in cautions["amplifier"] for word in ("ring", "muffled", "stop", "audiologist"))


def test_tuning_up_warns_of_breaking_strings() -> None:
    warned = {name for name, each in own_exercises().items() if "guitar.caution.strings" in each.cautions}
    assert warned == {"other-tunings", "drone"}


def test_the_stand_in_is_a_two_minute_warm_up() -> None:
    (stand_in,) = (each for each in exercises().values() if each.warm_up_stand_in)
    assert (stand_in.area, stand_in.strain, stand_in.concreteness) == ("warm-up", "low", "exact")
    units = instruments().material(stand_in.id, stand_in.defaults).units
    assert sum(time_of(unit.timing).seconds for unit in units) == 120


@OWN
def test_the_usual_minutes_and_the_chunk_suit_the_defaults(name: str, exercise: Exercise) -> None:
    lengths = [time_of(unit.timing).seconds for unit in material(name, exercise.defaults).units]
    usual = 60 * exercise.usual_minutes
    assert exercise.smallest_chunk_seconds <= usual
    # Once round at the defaults, to the next half minute.
    assert 0 <= usual - sum(lengths) <= 30 or usual == 60


@OWN
def test_how_often_it_comes_round_is_said(name: str, exercise: Exercise) -> None:
    assert exercise.cadence_days is not None, name
    # What strains most rests two days between: common practice, no source.
    assert exercise.cadence_days >= (3 if exercise.strain == "high" else 1)


@OWN
def test_what_is_read_at_sight_is_read_once(name: str, exercise: Exercise) -> None:
    assert exercise.goes_round == (exercise.area != "sight-reading"), name


def test_a_proposal_for_every_area() -> None:
    (guitar,) = instruments().instruments
    assert sorted(each.area for each in guitar.proposals) == sorted(AREAS)
    for proposal in guitar.proposals:
        assert (proposal.seconds is None) == (proposal.bars is not None and proposal.bpm is not None)
        for text in (proposal.label, proposal.manner, proposal.done_when):
            british = instruments().wording.render(Message(text), "en")
            assert british[0].islower() or british.startswith("A minor")
            assert not british.endswith((".", "!"))
            check_words(british, is_british=True)
            check_words(instruments().wording.render(Message(text), "en-US"), is_british=False)


@pytest.mark.parametrize("name", own_exercises())
def test_every_sentence_at_the_bounds_of_the_settings(name: str) -> None:
    for chosen in at_bounds(name):
        made = made_or_refused(name, chosen)
        if made is None:
            continue
        for dose in {1, len(made.units)}:
            for part in (part for part in PARTS if has_text(name, part)):
                check_sentence(part, said(name, part, made, dose, "en"), is_british=True)
                check_sentence(part, said(name, part, made, dose, "en-US"), is_british=False)
        for text in [unit.label for unit in made.units] + [u.detail for u in made.units if u.detail]:
            check_words(instruments().wording.render(text, "en"), is_british=True)
            check_words(instruments().wording.render(text, "en-US"), is_british=False)


def check_sentence(part: str, text: str, *, is_british: bool) -> None:
    assert text.strip() == text != ""
    assert not text.endswith((".", "!"))
    if part.endswith("what"):
        assert not text[0].islower() or text.startswith("x")
    else:
        assert not text[0].isupper() or re.match(r"[A-G](\b|[♭♯m7])|[DU] ", text)
    check_words(text, is_british=is_british)


def check_words(text: str, *, is_british: bool) -> None:
    assert not re.search(r"[{}!]", text)
    assert not re.search(r"\bone (bars|measures|notes|bursts|strokes|passes|times)\b", text), text
    found = AMERICAN_ONLY.search(text) if is_british else BRITISH_ONLY.search(BARS_OF_BLUES.sub("", text))
    assert found is None, text


@OWN
def test_sentences_at_the_defaults_are_short(name: str, exercise: Exercise) -> None:
    made = material(name, exercise.defaults)
    for part in (part for part in PARTS if has_text(name, part)):
        text = said(name, part, made, len(made.units), "en")
        assert len(text) <= 140, text


@OWN
def test_titles_in_each_locale(name: str, exercise: Exercise) -> None:
    for locale, is_british in (("en", True), ("en-US", False)):
        check_words(
            instruments().wording.render(Message(f"{exercise.id}.title"), locale), is_british=is_british
        )
    assert has_text(name, "also_called"), "learners type other names"


def test_american_texts_say_something_else_than_british_ones() -> None:
    wording = instruments().wording
    texts = {name for document in documents() for name in document.get("texts", {}).get("en-US", {})}
    assert texts
    for name in texts:
        assert wording.has(f"guitar.{name}", "en"), name
    british, american = (messages(locale) for locale in ("en", "en-US"))
    assert [name for name, text in american.items() if text == british[name]] == []


def messages(locale: str) -> Mapping[str, object]:
    (found,) = (each.messages for each in plugin.catalogue().texts if each.locale == locale)
    return found
