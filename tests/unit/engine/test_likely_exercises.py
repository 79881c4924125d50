"""What is offered for a title in a learner's own words, and what the title says for certain."""

from typing import Any

import pytest
from bagatelle import check_specificity
from bagatelle.model.plan import Finding

from tests.strategies import Sent, instruments, request_of

TASK = "/routine/blocks/0/tasks/0"


def routine_of(*tasks: Sent, instrument: str | None = "piano", **block: Any) -> Sent:
    listed = {"tasks": list(tasks)} if tasks else {}
    sent: Sent = {"routine": {"blocks": [{"title": "Block", "minutes": 20, **block, **listed}]}}
    return sent | ({"instrument": instrument} if instrument else {})


def offers(sent: Sent) -> list[Finding]:
    findings = check_specificity(request_of(sent), instruments()).findings
    return [finding for finding in findings if finding.question == "exercise"]


def first_taken(title: str, instrument: str = "piano") -> dict[str, Any]:
    """What the likeliest exercise's proposal adds to the task."""
    (offer,) = offers(routine_of({"title": title}, instrument=instrument))
    return {one.path.removeprefix(f"{TASK}/"): one.value for one in offer.likely[0].proposal}


def test_an_offer_points_at_the_exercise_and_has_a_patch_for_each() -> None:
    (offer,) = offers(routine_of({"title": "scales"}))
    assert offer.pointer == f"{TASK}/exercise"
    assert offer.proposal == ()
    assert offer.message == "scales: the catalogue has something like it: Major scales and Minor scales."
    assert [(one.exercise, one.title, one.likeness) for one in offer.likely] == [
        ("piano.major-scale", "Major scales", 100),
        ("piano.minor-scale", "Minor scales", 100),
    ]
    assert [(one.op, one.path, one.value) for one in offer.likely[1].proposal] == [
        ("add", f"{TASK}/exercise", "piano.minor-scale")
    ]


def test_a_block_that_lists_no_tasks_is_offered_its_one_task_whole() -> None:
    (offer,) = offers(routine_of(id="b", title="Arpeggios"))
    (operation,) = offer.likely[0].proposal
    assert offer.pointer == operation.path == "/routine/blocks/0/tasks"
    assert operation.value == [
        {"id": "b", "title": "Arpeggios", "minutes": 20.0, "exercise": "piano.arpeggio"}
    ]


@pytest.mark.parametrize(
    ("sent", "why"),
    [
        (routine_of({"title": "Arpeggios"}, instrument=None), "no instrument is named"),
        (routine_of({"title": "Arpeggios"}, instrument="snare-drum"), "it is another instrument's"),
        (routine_of({"title": "Arpeggios", "area": "repertoire"}), "a piece can be called anything"),
        (routine_of({"title": "Arpeggios"}, area="repertoire"), "a piece can be called anything"),
        (
            routine_of({"title": "Arpeggios", "passages": [{"id": "a", "label": "line 1", "seconds": 30}]}),
            "the material is named",
        ),
        (routine_of({"title": "Moonlit river"}), "nothing is like it"),
    ],
)
def test_nothing_is_offered(sent: Sent, why: str) -> None:
    assert offers(sent) == [], why


def test_what_a_hand_should_not_stretch_to_is_not_offered() -> None:
    sent = routine_of({"title": "octaves"})
    assert offers(sent)[0].likely[0].exercise == "piano.octaves"
    narrow = sent | {"learner": {"limits": {"widest_interval_semitones": 7}}}
    assert offers(narrow) == []


@pytest.mark.parametrize(
    ("title", "settings"),
    [
        ("c major scale hands together", {"keys": ["C"]}),
        ("Scales of E♭ major and B-flat major", {"keys": ["Eb", "Bb"]}),
        ("scale of F sharp minor at 72 bpm", {"keys": ["F#"], "bpm": 72}),
        ("arps in Bb major", {"keys": ["Bb"], "chord": "major"}),
        ("scale in A minor", {"keys": ["A"]}),
        ("A minor scale", None),  # "a" may be the article
        ("a minor scale", None),
        ("scales in D, A and E major", None),  # the mode of the first two is not written beside them
        ("major and minor scales: C major, C minor", None),
        ("scale of G# major", None),  # no key has eight sharps
        ("scales 500 bpm", None),  # beyond what the exercise takes
        ("arpeggios, third inversion", None),  # which the triad of the defaults does not have
        ("scales at 60 bpm then 80 bpm", None),
        ("scales", None),
    ],
)
def test_what_a_title_says_of_keys_and_tempo(title: str, settings: dict[str, Any] | None) -> None:
    assert first_taken(title).get("settings") == settings


@pytest.mark.parametrize(
    ("title", "settings"),
    [
        ("double paradiddle 90 bpm", {"rudiments": ["Double Paradiddle"], "bpm": 90}),
        ("flam paradiddle-diddles", {"rudiments": ["Flam Paradiddle-Diddle"]}),
        ("5 stroke roll", {"rudiments": ["Five Stroke Roll"]}),
        ("paradiddles", None),
    ],
)
def test_a_rudiment_is_named_whole_or_not_at_all(title: str, settings: dict[str, Any] | None) -> None:
    assert first_taken(title, "snare-drum").get("settings") == settings
