"""Bare titles get a plan with findings; taking every proposal and asking again leaves none within three calls."""

from collections.abc import Callable
from typing import Any

import jsonpatch
import pytest
from bagatelle import check_specificity
from bagatelle.model.errors import NotSpecificError
from bagatelle.model.plan import Finding, Plan
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import (
    LOCALES,
    SETTINGS_OF,
    Sent,
    instruments,
    plan_of,
    plan_or_reject,
    request_of,
    requests,
)

CALLS = 3
TITLES = st.sampled_from(("Scales", "Sonatina", "Warm-up", "Ear training", "Jam", "Duet", "Theory", "Étude"))


@st.composite
def bare_requests(draw: st.DrawFn) -> Sent:
    """Titles and minutes, in blocks with and without tasks, and nothing else."""
    blocks: list[Sent] = []
    for _ in range(draw(st.integers(1, 6))):
        block: Sent = {"title": draw(TITLES), "minutes": draw(st.integers(1, 30) | st.integers(1, 600))}
        titles = draw(st.lists(TITLES, max_size=3))
        if titles:
            block["tasks"] = [{"title": title} for title in titles]
        blocks.append(block)
    return {
        "routine": {"blocks": blocks},
        "instrument": draw(st.sampled_from((None, *SETTINGS_OF))),
        "locale": draw(st.sampled_from(LOCALES)),
        "measure_ladder": False,
    }


def patched(sent: Sent, findings: tuple[Finding, ...]) -> Any:
    """Every proposal taken, in the order given, by a general library for RFC 6902."""
    for finding in findings:
        operations = [{"op": one.op, "path": one.path, "value": one.value} for one in finding.proposal]
        sent = jsonpatch.apply_patch(sent, operations)
    return sent


def settled(sent: Sent, plan: Callable[[Sent], Plan] = plan_of) -> Sent:
    """The request after every call but the last."""
    for _ in range(CALLS - 1):
        sent = patched(sent, plan(sent).findings)
    return sent


@given(bare_requests())
def test_a_bare_routine_is_planned_and_settles(sent: Sent) -> None:
    assert {finding.question for finding in plan_of(sent).findings} >= {
        "which",
        "how",
        "finished-when",
    }
    assert plan_of(settled(sent)).findings == ()


@given(requests())
def test_any_routine_settles(sent: Sent) -> None:
    # What is proposed may be longer than a day of three minutes: such a day is drawn anew.
    assert plan_or_reject(settled(sent, plan_or_reject)).findings == ()


@given(requests() | bare_requests())
def test_strict_refuses_what_has_open_questions(sent: Sent) -> None:
    open_questions = check_specificity(request_of(sent), instruments()).findings
    if not open_questions:
        plan_or_reject(sent | {"strict": True})
        return
    with pytest.raises(NotSpecificError) as refused:
        plan_of(sent | {"strict": True})
    assert refused.value.findings == open_questions


@given(bare_requests())
def test_strict_takes_what_has_settled(sent: Sent) -> None:
    assert plan_of(settled(sent) | {"strict": True}).findings == ()


@given(requests() | bare_requests())
def test_each_finding_points_at_what_its_proposal_changes(sent: Sent) -> None:
    for finding in plan_or_reject(sent).findings:
        assert bool(finding.proposal) == (finding.question != "exercise")
        assert finding.message.strip()
        jsonpatch.apply_patch(
            sent, [{"op": one.op, "path": one.path, "value": one.value} for one in finding.proposal]
        )
