"""Likely exercises are offered beside open questions, open nothing themselves, and can be taken as they stand."""

from collections import Counter
from typing import Any, Final

import jsonpatch
from bagatelle import check_specificity
from bagatelle.contract import Message
from bagatelle.model.plan import Finding, LikelyExercise
from bagatelle.policy.table import Policy
from hypothesis import given
from hypothesis import strategies as st

from tests.property.test_proposals_settle_law import CALLS, patched
from tests.strategies import LOCALES, Sent, instruments, plan_of, request_of
from tests.unit.catalogue.titles_of_learners import TITLES

POLICY = Policy()
WRITTEN = tuple(title for rows in TITLES.values() for title, _ in rows)
ANY_TITLE = st.sampled_from(WRITTEN) | st.text(st.characters(codec="utf-8"), min_size=1, max_size=200)
LIMITS: Final[tuple[Sent, ...]] = (
    {},
    {"widest_interval_semitones": 7},
    {"lowest_pitch": "C2", "highest_pitch": "C6"},
    {"lowest_pitch": "C4", "highest_pitch": "C5"},
)


@st.composite
def titled_requests(draw: st.DrawFn) -> Sent:
    """Blocks with and without tasks, titled in learners' words; some tasks say more, some blocks an area."""
    blocks: list[Sent] = []
    for _ in range(draw(st.integers(1, 4))):
        block: Sent = {"title": draw(ANY_TITLE), "minutes": draw(st.integers(5, 60))}
        if draw(st.booleans()):
            block["area"] = draw(st.sampled_from(("technique", "repertoire", "warm-up")))
        block["tasks"] = [draw(titled_tasks()) for _ in range(draw(st.integers(0, 3)))]
        blocks.append(block)
    return {
        "routine": {"blocks": blocks},
        "instrument": draw(st.sampled_from((None, "piano", "snare-drum"))),
        "locale": draw(st.sampled_from(LOCALES)),
        "learner": {"limits": draw(st.sampled_from(LIMITS))},
    }


@st.composite
def titled_tasks(draw: st.DrawFn) -> Sent:
    task: Sent = {"title": draw(ANY_TITLE)}
    if draw(st.booleans()):
        task["manner"] = "softly"
    if draw(st.integers(0, 3)) == 0:
        task["passages"] = [{"id": "a", "label": "the first line", "seconds": 40}]
    return task


def findings_of(sent: Sent) -> tuple[Finding, ...]:
    return check_specificity(request_of(sent), instruments()).findings


def offers_in(findings: tuple[Finding, ...]) -> list[Finding]:
    return [finding for finding in findings if finding.question == "exercise"]


def taken(sent: Sent, one: LikelyExercise) -> Any:
    operations = [{"op": each.op, "path": each.path, "value": each.value} for each in one.proposal]
    return jsonpatch.apply_patch(sent, operations)


@given(titled_requests())
def test_an_offer_stands_beside_the_question_which(sent: Sent) -> None:
    findings = findings_of(sent)
    asked = {finding.task for finding in findings if finding.question == "which"}
    counts = Counter(offer.task for offer in offers_in(findings))
    assert counts.keys() <= asked
    assert set(counts.values()) <= {1}


@given(titled_requests())
def test_what_is_offered_is_of_the_instrument_likely_and_few(sent: Sent) -> None:
    for offer in offers_in(findings_of(sent)):
        assert sent["instrument"] is not None
        assert offer.proposal == ()
        assert 1 <= len(offer.likely) <= POLICY.likely_exercises
        likenesses = [one.likeness for one in offer.likely]
        assert likenesses == sorted(likenesses, reverse=True)
        assert POLICY.least_likeness <= likenesses[-1] <= likenesses[0] <= 100
        for one in offer.likely:
            exercise = instruments().exercise(one.exercise)
            assert one.exercise.startswith(f"{sent['instrument']}.")
            widest = sent["learner"]["limits"].get("widest_interval_semitones")
            assert widest is None or (exercise.widest_interval_semitones or 0) <= widest


@given(titled_requests())
def test_no_offer_is_taken_silently(sent: Sent) -> None:
    plan = plan_of(sent)
    offered = {offer.task for offer in offers_in(plan.findings)}
    for task in plan.tasks:
        if task.task in offered:
            assert task.factors.concreteness == POLICY.concreteness_factors["open"]


@given(titled_requests())
def test_each_offer_can_be_taken_and_leaves_its_task_no_question(sent: Sent) -> None:
    for offer in offers_in(findings_of(sent)):
        for one in offer.likely:
            after = taken(sent, one)
            block = after["routine"]["blocks"][int(offer.pointer.split("/")[3])]
            exercises = [task.get("exercise") for task in block["tasks"]]
            assert one.exercise in exercises
            pointers = {finding.pointer for finding in findings_of(after)}
            owner = offer.pointer.removesuffix("/exercise").removesuffix("/tasks")
            assert not any(pointer.startswith(f"{owner}/tasks") for pointer in pointers)


@given(titled_requests(), st.data())
def test_taking_some_offers_and_answering_the_rest_settles_as_soon(sent: Sent, data: st.DataObject) -> None:
    for offer in offers_in(findings_of(sent)):
        if data.draw(st.booleans()):
            sent = taken(sent, data.draw(st.sampled_from(offer.likely)))
    for _ in range(CALLS - 1):
        sent = patched(sent, findings_of(sent))
    assert findings_of(sent) == ()


@given(titled_requests())
def test_the_order_of_listing_changes_no_offer(sent: Sent) -> None:
    reversed_blocks = [block | {"tasks": block["tasks"][::-1]} for block in sent["routine"]["blocks"]]
    other = sent | {"routine": {"blocks": reversed_blocks}}

    def offered(request: Sent) -> list[list[tuple[str, int]]]:
        offers = offers_in(findings_of(request))
        return sorted([(one.exercise, one.likeness) for one in offer.likely] for offer in offers)

    assert offered(sent) == offered(other)


def test_whatever_a_title_says_of_settings_its_offers_can_be_taken() -> None:
    keys = [f"{note}{sign}" for note in "ACFG" for sign in ("", "#", "b", " sharp", "-flat")]
    said = 0
    for instrument in instruments().instruments:
        for exercise in instrument.exercises:
            name = instruments().wording.render(Message(f"{exercise.id}.title"), "en")
            values = exercise.settings_schema["properties"].values()
            whole = [value for one in values for value in one.get("items", {}).get("enum", ())]
            titles = [f"{name} in {key} {mode}" for key in keys for mode in ("major", "minor")]
            titles += [f"{name}, {value}" for value in whole] + [f"{name} at 61 bpm"]
            for title in titles:
                sent = {
                    "instrument": instrument.id,
                    "routine": {"blocks": [{"title": "B", "minutes": 9, "tasks": [{"title": title}]}]},
                }
                for offer in offers_in(findings_of(sent)):
                    for one in offer.likely:
                        said += len(one.proposal) == 2
                        assert findings_of(taken(sent, one)) == ()
    assert said > 300
