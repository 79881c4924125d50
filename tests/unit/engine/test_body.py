"""What a sore place takes of a day, and what it leaves."""

import pytest
from bagatelle.engine.body import Traits, sore_cautions, stop_caution, works
from bagatelle.engine.form import form_for
from bagatelle.model.exercise import Family
from bagatelle.model.plan import Plan
from bagatelle.model.request import Circumstances
from bagatelle.model.vocabulary import SORE_PLACES
from msgspec.structs import replace

from tests.strategies import Sent, instruments, plan_of
from tests.unit.engine.numbers import own_task, request

PLAYED = Traits(strain="low", loudness="moderate", needs_instrument=True)
SAID = Traits(strain="none", loudness="soft", needs_instrument=False)
EVERYTHING = {"hands", "lip", "voice", "back"}


def planned(*tasks: Sent, sore: str, **fields: object) -> Plan:
    return plan_of(request(*tasks, circumstances={"sore": [sore]}, **fields))


@pytest.mark.parametrize(
    ("family", "places"),
    [
        ("keyboard", {"hands", "back"}),
        ("brass", {"hands", "lip", "back"}),
        ("voice", {"voice", "back"}),
        ("none", EVERYTHING),
    ],
)
def test_an_instrument_works_what_its_family_does(family: Family, places: set[str]) -> None:
    assert works(PLAYED, "repertoire", family, None) == places


@pytest.mark.parametrize(("instrument", "stands_in_for"), [("cello", None), ("flute", "waltz")])
def test_an_ordinary_instrument_works_what_its_family_does(
    instrument: str, stands_in_for: str | None
) -> None:
    (step,) = planned(own_task("waltz", 60), sore="lip", instrument=instrument).steps
    assert step.stands_in_for == stands_in_for


def test_what_is_said_works_the_voice_and_what_is_unknown_works_all() -> None:
    assert works(SAID, "ear", "keyboard", None) == {"voice"}
    assert works(SAID, "theory", "keyboard", None) == {"voice", "hands"}
    assert works(SAID, "warm-up", "brass", None) == EVERYTHING
    signatures = instruments().exercise("piano.key-signatures")
    assert works(SAID, "theory", "keyboard", signatures) == {"voice"}


def test_a_pianist_with_a_sore_lip_plays() -> None:
    (step,) = planned(own_task("waltz", 60), sore="lip", instrument="piano").steps
    assert (step.what, step.stands_in_for) == ("Waltz: line 1", None)


@pytest.mark.parametrize("sore", ["hands", "back"])
def test_a_pianist_with_sore_hands_hums(sore: str) -> None:
    plan = planned(own_task("waltz", 60), sore=sore, instrument="piano")
    assert plan.steps[0].what == "Waltz, in the head: line 1"
    assert plan.steps[0].how.startswith("humming")
    assert ("fingering" in plan.steps[0].how) == (sore == "back")


def test_of_an_instrument_that_is_not_known_nothing_is_played() -> None:
    plan = planned(own_task("waltz", 60), sore="lip")
    assert plan.steps[0].what == "Waltz, in the head: line 1"
    assert plan.steps[0].how.startswith("humming, singing or tapping along")


def test_fingers_go_along_in_silence_where_the_lip_is_sore_and_not_where_hands_are() -> None:
    scales = {"id": "scales", "exercise": "trumpet.major-scales", "minutes": 10}
    fingered, left = (planned(scales, sore=sore, instrument="trumpet") for sore in ("lip", "hands"))
    assert "on the fingers" in fingered.steps[0].what
    assert not any("finger" in step.how for step in left.steps)


def test_a_silent_form_that_does_not_say_works_what_its_instrument_does() -> None:
    exercise = instruments().exercise("trumpet.major-scales")
    soft = exercise.soft_form
    assert soft is not None
    untold = replace(exercise, soft_form=replace(soft, works=None))
    forms = {
        sore: form_for(PLAYED, untold, Circumstances(sore=(sore,)), "technique", "brass")[0]
        for sore in SORE_PLACES
    }
    assert forms == {"hands": "study", "lip": "study", "voice": "usual", "back": "study"}


def test_what_is_said_aloud_stays_where_hands_are_sore() -> None:
    signatures = {"id": "keys", "exercise": "piano.key-signatures", "minutes": 10}
    kept, silenced = (planned(signatures, sore=sore, instrument="piano").steps for sore in ("hands", "voice"))
    assert kept[0].stands_in_for is None
    assert silenced[0].how.startswith("without a sound")


def test_a_sore_voice_is_told_to_rest() -> None:
    cautions = planned(own_task("waltz", 60), sore="voice", instrument="piano").cautions
    assert cautions[0].startswith("The voice is hoarse or sore.")
    assert "physiotherapist" not in " ".join(cautions)
    assert "do not whisper" in cautions[1]
    assert "laryngologist" in cautions[1]


def test_cautions_name_what_works() -> None:
    assert stop_caution("voice") == "engine.caution.body.voice"
    assert stop_caution("brass") == "engine.caution.body.lip"
    assert stop_caution("keyboard") == "engine.caution.body"
    assert len(sore_cautions(Circumstances(soreness=True), "voice")) == 2
    assert sore_cautions(Circumstances(), "voice") == ()


def test_a_singer_who_is_sore_is_sent_to_a_doctor_for_voices() -> None:
    plan = plan_of(request(own_task("waltz", 60), instrument="voice", circumstances={"soreness": True}))
    assert plan.cautions[0].startswith("The voice rests today")
    assert "physiotherapist" not in " ".join(plan.cautions)


def test_after_weeks_away_the_easy_is_told_to_stop_at_pain_too() -> None:
    history = [{"task": "waltz", "date": "2027-01-10", "seconds": 600}]
    fields = {"date": "2027-03-01", "instrument": "accordion"}
    waltz = own_task("waltz", 60)
    assert any(
        "If anything hurts" in each for each in plan_of(request(waltz, history=history, **fields)).cautions
    )
    assert plan_of(request(waltz, **fields)).cautions == ()
