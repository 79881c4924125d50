"""A plan as a readable page of plain text."""

from collections.abc import Iterable
from itertools import groupby
from textwrap import wrap
from typing import Final

from bagatelle.model.plan import Plan, Step

WIDTH: Final = 88


def page_of(plan: Plan) -> str:
    """The plan for reading and playing: what to do in order, what is left out, what comes next."""
    return "\n".join(_lines(plan))


def _lines(plan: Plan) -> Iterable[str]:
    usual, budget = _clock(plan.usual_seconds), _clock(plan.budget_seconds)
    yield f"Short-day plan: {budget} of the usual {usual}"
    yield "=" * WIDTH
    number = 0
    for position, steps in groupby(plan.steps, key=lambda step: step.window):
        yield from _window_heading(plan, position)
        for step in steps:
            number += 1
            yield from _step(number, step)
    yield from _closing(plan)


def _window_heading(plan: Plan, position: int) -> Iterable[str]:
    if len(plan.windows) > 1:
        window = plan.windows[position]
        starts = f" at {window.starts_at}" if window.starts_at else ""
        yield ""
        yield f"Window {position + 1}{starts}, {_clock(window.seconds)}"
        yield "-" * WIDTH


def _step(number: int, step: Step) -> Iterable[str]:
    yield ""
    goes_on = " (going on)" if step.continues else ""
    yield from _hanging(f"{number}. ", f"{step.what}{goes_on}  [{_clock(step.seconds)}]")
    for label, text in (("How", step.how), ("How much", step.how_much), ("Finished when", step.done_when)):
        yield from _hanging(f"   {label}: ", text)
    alike: dict[str, list[str]] = {}
    for detail in step.details:
        alike.setdefault(detail.text, []).append(detail.unit)
    for text, units in alike.items():
        yield from _hanging(f"   {', '.join(units)}: ", text)
    for caution in step.cautions:
        yield from _hanging("   Take care: ", caution)


def _closing(plan: Plan) -> Iterable[str]:
    yield ""
    yield "-" * WIDTH
    titles = {task.task: task.title for task in plan.tasks}
    if plan.left_out:
        yield "Left out today"
        for one in plan.left_out:
            yield from _hanging("  - ", f"{titles[one.task]}: {one.reasons[0].because}")
    for heading, texts in (
        ("Worth knowing", [notice.message for notice in plan.warnings]),
        ("Take care", list(plan.cautions)),
        ("Still open", [finding.message for finding in plan.findings]),
    ):
        if texts:
            yield heading
            for text in texts:
                yield from _hanging("  - ", text)
    if plan.ladder.lowest_ratio is not None and plan.ladder.mean_ratio is not None:
        yield from _hanging(
            "",
            f"The ladder at each whole minute: {plan.ladder.mean_ratio:.0%} of the best plan on average, "
            f"{plan.ladder.lowest_ratio:.0%} at worst.",
        )
    if plan.toss_up:
        yield from _hanging("", "Another choice would do as well: do not agonise, play this one.")
    yield from _hanging("", "It counts in full. You may always go on longer.")


def _hanging(lead: str, text: str) -> list[str]:
    return wrap(f"{lead}{text}", WIDTH, subsequent_indent=" " * min(len(lead), 6)) or [lead.rstrip()]


def _clock(seconds: int) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{minutes} min" if rest == 0 else f"{minutes} min {rest:02d} s"
