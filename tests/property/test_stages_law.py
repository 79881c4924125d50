"""A next stage is proposed from enough evidence alone, whatever the order of the history, and not twice from it."""

import datetime as dt
from typing import Any

import jsonpatch
from bagatelle.engine.stages import days_said, evidence
from bagatelle.model.plan import StageProposal
from bagatelle.model.request import HistoryEntry
from bagatelle.model.vocabulary import STAGES
from bagatelle.policy.table import Policy
from hypothesis import event, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

POLICY = Policy()
DAY = dt.date(2027, 3, 1)
DATES = st.integers(-3, 40).map(lambda days: DAY - dt.timedelta(days=days))
SAID = st.sampled_from((True, True, True, True, True, True, None, False))
ENTRIES = st.lists(st.tuples(st.sampled_from(("a", "b")), DATES, SAID), max_size=8)
MET = st.lists(st.tuples(st.sampled_from(("a", "b")), DATES, st.just(True)), max_size=20)
"""So that enough is met for some proposals."""


@st.composite
def said_requests(draw: st.DrawFn) -> Sent:
    """Two tasks at some stage, and a history that says now and then whether they were finished."""
    tasks = []
    for name in ("a", "b"):
        task = own_task(name, 60, 90)
        if draw(st.integers(0, 4)):
            task["stage"] = draw(st.sampled_from((*STAGES, *STAGES[:-1])))
            if draw(st.integers(0, 3)) == 0:
                task["stage_since"] = str(draw(DATES))
        tasks.append(task)
    history = [
        {"task": task, "date": str(date), **({} if said is None else {"done_when_met": said})}
        for task, date, said in (*draw(MET), *draw(ENTRIES))
    ]
    return request(*tasks, date=str(DAY), history=history)


def taken(sent: Sent, proposal: StageProposal) -> Any:
    operations = [{"op": one.op, "path": one.path, "value": one.value} for one in proposal.proposal]
    return jsonpatch.apply_patch(sent, operations)


@given(said_requests())
def test_each_proposal_has_its_evidence(sent: Sent) -> None:
    proposals = plan_of(sent).stage_proposals
    event(f"{len(proposals)} proposals")
    tasks = {task["id"]: task for task in sent["routine"]["blocks"][0]["tasks"]}
    for proposal in proposals:
        task = tasks[proposal.task]
        assert task["stage"] == proposal.stage
        assert STAGES.index(proposal.next_stage) == STAGES.index(proposal.stage) + 1
        days = list(proposal.met_on)
        assert days == sorted(set(days))
        assert len(days) >= POLICY.stage_met_days
        assert days[-1] - days[0] >= dt.timedelta(days=POLICY.stage_met_span_days)
        assert days[-1] < DAY
        assert str(days[0]) >= task.get("stage_since", "")
        # From the first of these days on, the history never says that it was not met, and says it of no other day.
        since = [
            entry
            for entry in sent["history"]
            if entry["task"] == proposal.task and str(days[0]) <= entry["date"] < str(DAY)
        ]
        assert not any(entry.get("done_when_met") is False for entry in since)
        assert {entry["date"] for entry in since if "done_when_met" in entry} == set(map(str, days))


@given(said_requests(), st.sampled_from(("a", "b")), st.integers(1, 3))
def test_a_day_not_met_among_the_last_three_silences_it(sent: Sent, task: str, place: int) -> None:
    said = {entry["date"] for entry in sent["history"] if entry["task"] == task and "done_when_met" in entry}
    last = sorted(date for date in said if date < str(DAY))[-POLICY.stage_met_days :]
    date = last[-place] if place <= len(last) else str(DAY - dt.timedelta(days=1))
    history = [*sent["history"], {"task": task, "date": date, "done_when_met": False}]
    assert task not in {one.task for one in plan_of(sent | {"history": history}).stage_proposals}


@given(said_requests(), st.randoms(use_true_random=False))
def test_the_order_of_the_history_does_not_matter(sent: Sent, random: Any) -> None:
    shuffled = list(sent["history"])
    random.shuffle(shuffled)
    plan, other = plan_of(sent), plan_of(sent | {"history": shuffled})
    assert plan.stage_proposals == other.stage_proposals
    assert plan.fingerprint == other.fingerprint


@given(said_requests(), st.integers(0, 30))
def test_what_was_taken_is_not_proposed_again_from_the_same_days(sent: Sent, later: int) -> None:
    for proposal in plan_of(sent).stage_proposals:
        after = taken(sent, proposal)
        assert proposal.task not in {one.task for one in plan_of(after).stage_proposals}
        # Nor later: of the history, only what is dated on the day of the proposal or after it is new.
        old = [entry for entry in after["history"] if entry["date"] < str(DAY)]
        asked = after | {"history": old, "date": str(DAY + dt.timedelta(days=later))}
        assert proposal.task not in {one.task for one in plan_of(asked).stage_proposals}


@given(st.lists(st.tuples(DATES, st.booleans()), max_size=40), st.none() | DATES)
def test_another_way_of_counting_finds_the_same(
    said: list[tuple[dt.date, bool]], since: dt.date | None
) -> None:
    history = [HistoryEntry(task="a", date=date, done_when_met=met) for date, met in said]
    found = evidence(days_said(history).get("a", {}), since, DAY, POLICY)
    counted = sorted({date for date, _ in said if date < DAY and (since is None or date >= since)})
    fallen = {date for date, met in said if not met}
    runs = [counted[start:] for start in range(len(counted)) if not fallen & set(counted[start:])]
    enough = [run for run in runs if len(run) >= 3 and (run[-1] - run[0]).days >= 7]
    assert list(found) == min(enough, key=len, default=[])
