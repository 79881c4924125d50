"""Every plan has something to do, and every step says what, how, how much and finished when, in both locales."""

import re

import pytest
from bagatelle.model.plan import Step
from hypothesis import event, given

from tests.strategies import LOCALES, Sent, plan_or_reject, requests

GAP_OR_ID = re.compile(r"[{}]|\b(engine|piano|snare-drum)\.[a-z-]+")
"""A gap left open, or a message id that found no text."""


def assert_is_said(text: str) -> None:
    assert text.strip()
    assert text == text.strip()
    assert not GAP_OR_ID.search(text)


def assert_is_complete(step: Step) -> None:
    for text in (step.what, step.how, step.how_much, step.done_when):
        assert_is_said(text)
    for text in (
        *step.cautions,
        *(reason.because for reason in step.reasons),
        *(each.text for each in step.details),
    ):
        assert_is_said(text)
    assert step.seconds > 0
    if step.kind == "task":
        assert step.task
        assert step.block
        assert step.units
        assert step.reasons


@pytest.mark.parametrize("locale", LOCALES)
@given(sent=requests())
def test_each_step_is_complete(locale: str, sent: Sent) -> None:
    plan = plan_or_reject(sent | {"locale": locale})
    assert any(step.kind == "task" for step in plan.steps)
    for step in plan.steps:
        assert_is_complete(step)
    asked = [finding.message for finding in plan.findings]
    for text in (*plan.cautions, *asked, *(notice.message for notice in plan.warnings)):
        assert_is_said(text)


@given(requests())
def test_straining_steps_carry_a_caution(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    strain = {task.task: task.strain for task in plan.tasks}
    for step in plan.steps:
        if step.task is not None and strain[step.task] in {"moderate", "high"}:
            assert step.cautions


@given(requests())
def test_no_number_of_times_runs_out_without_a_word(sent: Sent) -> None:
    """Where the most is said, a learner's own finish line says what follows if it is not met by then.

    A warm-up just ends; and what is proposed, where the learner has no line, is worded each by itself.
    """
    plan = plan_or_reject(sent)
    tasks = [task for block in sent["routine"]["blocks"] for task in block.get("tasks", ())]
    own_lines = {task["done_when"] for task in tasks if "done_when" in task}
    areas = {task.task: task.area for task in plan.tasks}
    for step in plan.steps:
        if step.task is not None and "at most" in step.how_much and "through" in step.how_much:
            says_it = ";" in step.done_when or step.done_when.endswith((".", "!", "?"))
            event(step.done_when)
            assert says_it or areas[step.task] == "warm-up" or step.done_when not in own_lines
