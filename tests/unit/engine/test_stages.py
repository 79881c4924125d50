"""A finish line met often enough proposes the next stage. The rule is common practice, no source."""

from typing import Any

import jsonpatch
import pytest
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.plan import StageProposal
from bagatelle.page import page_of

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

DAY = "2027-03-01"


def met(*dates: str, task: str = "waltz", **fields: Any) -> list[Sent]:
    return [{"task": task, "date": date, "done_when_met": True} | fields for date in dates]


def not_met(*dates: str) -> list[Sent]:
    return met(*dates, done_when_met=False)


def sent_of(history: list[Sent], **task: Any) -> Sent:
    return request(own_task("waltz", 60, **({"stage": "learning"} | task)), date=DAY, history=history)


def proposals(history: list[Sent], **task: Any) -> tuple[StageProposal, ...]:
    return plan_of(sent_of(history, **task)).stage_proposals


WEEKLY = met("2027-02-08", "2027-02-15", "2027-02-22")


def test_three_days_over_a_week_are_enough() -> None:
    (proposal,) = proposals(met("2027-02-21", "2027-02-25", "2027-02-28"))
    assert (proposal.task, proposal.stage, proposal.next_stage) == ("waltz", "learning", "refining")
    assert [str(date) for date in proposal.met_on] == ["2027-02-21", "2027-02-25", "2027-02-28"]
    assert proposal.message == (
        "Waltz: its finish line was met on the last 3 days on which it was said, from 2027-02-21 to 2027-02-28; "
        "it may go from learning to refining."
    )
    task = "/routine/blocks/0/tasks/0"
    assert [(one.op, one.path, one.value) for one in proposal.proposal] == [
        ("replace", f"{task}/stage", "refining"),
        ("add", f"{task}/stage_since", DAY),
    ]


def test_who_plays_each_day_needs_a_week_of_it_and_only_that_is_shown() -> None:
    week = [f"2027-02-{number}" for number in range(20, 29)]
    (proposal,) = proposals(met(*week))
    assert [str(date) for date in proposal.met_on] == week[1:]
    assert proposals(met(*week[2:])) == ()


@pytest.mark.parametrize(
    ("history", "why"),
    [
        (met("2027-02-20", "2027-02-28"), "two days"),
        (met("2027-02-21", "2027-02-21", "2027-02-28", "2027-02-28"), "two days, said twice each"),
        (met("2027-02-22", "2027-02-25", "2027-02-28"), "six days from first to last"),
        ([*WEEKLY, *not_met("2027-02-23")], "not met since"),
        ([*met("2027-02-08", "2027-02-20", "2027-02-22"), *not_met("2027-02-15")], "not met between"),
        ([*WEEKLY, *not_met("2027-02-22")], "both said of one day"),
        ([*not_met("2027-02-22"), *WEEKLY], "both said of one day, in the other order"),
        (met("2027-02-20", "2027-02-24", DAY), "the day of the plan is not done yet"),
        (met("2027-02-20", "2027-02-24", "2027-03-02"), "nor is a later one"),
        ([entry | {"done_when_met": None} for entry in WEEKLY], "nobody said"),
        (met("2027-02-08", "2027-02-15", "2027-02-22", task="march"), "another task"),
    ],
)
def test_less_is_not_enough(history: list[Sent], why: str) -> None:
    assert proposals(history) == (), why


def test_days_on_which_nobody_said_count_neither_way() -> None:
    silent = [{"task": "waltz", "date": date} for date in ("2027-02-10", "2027-02-16", "2027-02-27")]
    assert [str(date) for date in proposals([*silent, *WEEKLY])[0].met_on] == [
        "2027-02-08",
        "2027-02-15",
        "2027-02-22",
    ]


@pytest.mark.parametrize(
    ("stage", "following"), [("new", "learning"), ("learning", "refining"), ("refining", "maintaining")]
)
def test_one_stage_forward_at_a_time(stage: str, following: str) -> None:
    assert [one.next_stage for one in proposals(WEEKLY, stage=stage)] == [following]


@pytest.mark.parametrize("stage", ["maintaining", None])
def test_no_proposal_after_the_last_stage_nor_where_none_is_stated(stage: str | None) -> None:
    assert proposals(WEEKLY, stage=stage) == ()


def test_only_what_was_done_since_the_stage_was_set_is_evidence() -> None:
    assert proposals(WEEKLY, stage_since="2027-02-08")
    assert proposals(WEEKLY, stage_since="2027-02-09") == ()


def test_taking_it_and_asking_again_proposes_nothing_from_the_same_days() -> None:
    sent = sent_of(WEEKLY)
    (proposal,) = plan_of(sent).stage_proposals
    operations = [{"op": one.op, "path": one.path, "value": one.value} for one in proposal.proposal]
    taken = jsonpatch.apply_patch(sent, operations)
    assert plan_of(taken).stage_proposals == ()
    assert plan_of(taken | {"date": "2027-03-02"}).stage_proposals == ()


def test_nothing_of_the_plan_changes_by_itself() -> None:
    said, silent = (
        plan_of(sent_of(WEEKLY)),
        plan_of(sent_of([entry | {"done_when_met": None} for entry in WEEKLY])),
    )
    assert said.tasks == silent.tasks
    assert said.steps == silent.steps


def test_a_catalogue_task_has_a_finish_line_too() -> None:
    task = {"id": "waltz", "exercise": "piano.major-scale", "stage": "refining", "minutes": 10}
    plan = plan_of(request(task, date=DAY, history=WEEKLY, instrument="piano"))
    assert [one.next_stage for one in plan.stage_proposals] == ["maintaining"]


def test_the_page_of_text_says_it() -> None:
    plan = plan_of(sent_of(WEEKLY))
    page = page_of(plan)
    assert "Yours to decide" in page
    assert "may go from learning to refining" in " ".join(page.split())


def test_since_when_needs_a_stage() -> None:
    with pytest.raises(InvalidInputError) as refused:
        proposals(WEEKLY, stage=None, stage_since="2027-02-08")
    assert [error.pointer for error in refused.value.errors] == ["/routine/blocks/0/tasks/0/stage_since"]
