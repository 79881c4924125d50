"""Whoever plays something that strains is told to stop at pain: in the plan, and at the step where it says nothing.

A common caution of musicians' medicine, no one source; what to do about pain is a clinician's to say.
"""

import re

from hypothesis import event, given, settings

from tests.strategies import Sent, plan_or_reject, requests

STRAINING = {"moderate", "high"}
STOP = re.compile("hurts,.* numb.*, stop;")


@given(requests())
@settings(max_examples=100)
def test_the_plan_says_it_wherever_anything_strains(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    strain = {task.task: task.strain for task in plan.tasks}
    if any(strain[step.task] in STRAINING for step in plan.steps if step.task is not None):
        event("strains")
        cautions = [each for each in plan.cautions if STOP.search(each)]
        assert cautions
        assert all("doctor or physiotherapist" in caution for caution in cautions)


@given(requests())
@settings(max_examples=100)
def test_a_step_that_strains_and_names_nothing_else_says_it_too(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    tasks = [task for block in sent["routine"]["blocks"] for task in block.get("tasks", ())]
    own = {task["id"] for task in tasks if "id" in task and "exercise" not in task}
    strain = {task.task: task.strain for task in plan.tasks}
    for step in plan.steps:
        if step.task is not None and step.task in own and strain[step.task] in STRAINING:
            assert any(STOP.search(caution) for caution in step.cautions)
