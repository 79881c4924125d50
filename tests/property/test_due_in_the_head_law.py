"""Of what is due soon, each gets at least one time through in the head, if all these fit the 20 minutes.

That what is coming up goes before the rest is common practice, no source.
"""

from hypothesis import assume, event, given, settings

from tests.property.test_mental_work_law import TWENTY_MINUTES, studied_requests
from tests.strategies import Sent, plan_or_reject


@given(studied_requests())
@settings(max_examples=150)
def test_what_is_due_has_its_first_unit(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    due = [task for task in plan.tasks if task.due_days is not None and 0 <= task.due_days <= 14]
    assume(due)
    before = [task for task in plan.tasks if task in due or task.pin == "always"]
    quickest = min(task.units[0].seconds for task in plan.tasks)
    event(f"{len(due)} due")
    if sum(task.units[0].seconds for task in before) + quickest <= TWENTY_MINUTES:
        assert all(task.available for task in due)
