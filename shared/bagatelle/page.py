"""A plan as a readable page of plain text."""

from collections.abc import Collection, Iterable, Mapping
from itertools import groupby
from textwrap import wrap
from typing import Final

from bagatelle.model.plan import Plan, Step

WIDTH: Final = 88
_RULE: Final = "-" * WIDTH
_DONE_ABOUT_IT: Final = frozenset({"minutes", "pin"})
"""Questions of findings that say what was done, and ask a learner for nothing."""
_QUESTIONS: Final[Mapping[str, str]] = {
    "which": "which part of it",
    "how": "in which manner",
    "how-much": "how much of each",
    "finished-when": "finished when",
}


def page_of(plan: Plan) -> str:
    """The plan for reading and playing: what to do in order, what is left out, what is worth knowing."""
    return "\n".join(_lines(plan))


def _lines(plan: Plan) -> Iterable[str]:
    halves = _halves_of_steps(plan)
    yield _heading(plan, sum(halves.values()))
    yield "=" * WIDTH
    more = "." if plan.sore else "; more is welcome, not owed."
    yield f"It counts in full. When this is done you are done{more}"
    yield from _slack(plan, sum(halves.values()))
    yield from _points("Take care", plan.cautions)
    number = 0
    before: Step | None = None
    played: set[tuple[str | None, str]] = set()
    preparing = {task.task for task in plan.tasks if task.prepares}
    for position, steps in groupby(plan.steps, key=lambda step: step.window):
        yield from _window_heading(plan, position)
        # Hours may lie between two windows: what was said in one is said again in the next.
        said = set(plan.cautions)
        for step in steps:
            number += 1
            # A warm-up that comes again is a warm-up, and no more of something.
            lead = "" if step.task in preparing else _lead(step, before, played)
            yield from _step(number, step, lead, said, halves[step.id])
            before = step
            played.update((step.task, unit) for unit in step.units)
    yield from _closing(plan)


def _heading(plan: Plan, halves: int) -> str:
    """What the steps take as the page says it, rests with them, of the usual time."""
    return f"Short-day plan: {_half_minutes(halves)} of the usual {_minutes(plan.usual_seconds)}"


def _halves_of_steps(plan: Plan) -> Mapping[str, int]:
    """What each step takes, getting to it with it, in half minutes that add up.

    Within a window each step ends at the next half minute, so that together they are not half a minute too long.
    """
    halves: dict[str, int] = {}
    for _, steps in groupby(plan.steps, key=lambda step: step.window):
        seconds = said = 0
        for step in steps:
            seconds += step.seconds + step.set_up_seconds
            halves[step.id] = max(-(-seconds // 30) - said, 1)
            said += halves[step.id]
    return halves


def _slack(plan: Plan, halves: int) -> Iterable[str]:
    """What is left free of the time that the day gives; nothing is said where it gives none."""
    free = sum(window.slack_seconds for window in plan.windows)
    if free > 0 and len(plan.windows) > 1:
        yield "No window is filled: a part of each is left free, so that it surely fits."
    elif free > 0:
        given = _minutes(plan.windows[0].seconds)
        left = plan.windows[0].seconds // 30 - halves
        free_time = f"about {_half_minutes(left)}" if left > 0 else "a little"
        yield f"The {given} are not filled: {free_time} is left free, so that it surely fits."


def _window_heading(plan: Plan, position: int) -> Iterable[str]:
    if len(plan.windows) > 1:
        window = plan.windows[position]
        starts = f" at {window.starts_at}" if window.starts_at else ""
        yield ""
        yield f"Window {position + 1}{starts}, {_minutes(window.seconds)}"
        yield _RULE


def _lead(step: Step, before: Step | None, played: Collection[tuple[str | None, str]]) -> str:
    """How a step that goes on with a task begins: at once, with what was played before, or with the rest."""
    if not step.continues:
        return ""
    if before is not None and (before.task, before.window) == (step.task, step.window):
        return "Then: "
    return "Again: " if all((step.task, unit) in played for unit in step.units) else "More of: "


def _step(number: int, step: Step, lead: str, said: set[str], halves: int) -> Iterable[str]:
    yield ""
    what = f"{lead}{step.what}" if lead else f"{step.what[:1].upper()}{step.what[1:]}"
    yield from _hanging(f"{number}. ", f"{what}  [about {_half_minutes(halves)}]")
    for caution in step.cautions:
        if caution not in said:
            said.add(caution)
            yield from _hanging("   Take care: ", caution)
    for label, text in (("How", step.how), ("How much", step.how_much), ("Finished when", step.done_when)):
        yield from _hanging(f"   {label}: ", text)
    yield from _details(step)


def _details(step: Step) -> Iterable[str]:
    """What the hands need for each unit; units that need the same share a line."""
    alike: dict[str, list[str]] = {}
    for detail in step.details:
        alike.setdefault(detail.text, []).append(detail.label)
    for text, labels in alike.items():
        yield from _hanging(f"   {', '.join(labels)}: ", text)


def _closing(plan: Plan) -> Iterable[str]:
    lines = list(_afterwards(plan))
    if lines:
        yield ""
        yield _RULE
        yield from lines


def _afterwards(plan: Plan) -> Iterable[str]:
    problems = plan.plugin_problems or ()
    titles = {task.task: task.title for task in plan.tasks}
    titles |= {problem.task: problem.title for problem in problems}
    yield from _points("Left out today", _left_out(plan, titles))
    yield from _points("Worth knowing", _worth_knowing(plan))
    yield from _points("Worth writing down for next time", _open_questions(plan, titles))
    yield from _points("Yours to decide", [one.message for one in plan.stage_proposals])
    if plan.ladder.lowest_ratio is not None and plan.ladder.mean_ratio is not None:
        yield from _hanging(
            "",
            f"The ladder, at each whole minute, beside the best plan for it: {plan.ladder.mean_ratio:.0%} "
            f"on average, {plan.ladder.lowest_ratio:.0%} at worst.",
        )


def _left_out(plan: Plan, titles: Mapping[str, str]) -> Iterable[str]:
    """What is left out for the same reason in one line; then what is left of the pieces that are kept."""
    by_reason: dict[str, list[str]] = {}
    for one in plan.left_out:
        by_reason.setdefault(one.reasons[0].because, []).append(titles[one.task])
    yield from (f"{'; '.join(left)}: {reason}" for reason, left in by_reason.items())
    yield from (parts.message for parts in plan.parts_left)


def _worth_knowing(plan: Plan) -> Iterable[str]:
    """The warnings, and what was done about a pin or minutes that do not add up."""
    yield from (notice.message for notice in plan.warnings)
    yield from (problem.message for problem in plan.plugin_problems or ())
    yield from (finding.message for finding in plan.findings if finding.question in _DONE_ABOUT_IT)


def _open_questions(plan: Plan, titles: Mapping[str, str]) -> Iterable[str]:
    """What would make a task exact, tasks that lack the same in one line; the rest is for the program."""
    asked: dict[str, list[str]] = {}
    for finding in plan.findings:
        if finding.task is not None and finding.question in _QUESTIONS:
            asked.setdefault(finding.task, []).append(_QUESTIONS[finding.question])
    alike: dict[str, list[str]] = {}
    for task, questions in asked.items():
        alike.setdefault(", ".join(questions), []).append(titles[task])
    return (f"{'; '.join(named)}: {questions}" for questions, named in alike.items())


def _points(heading: str, texts: Iterable[str]) -> Iterable[str]:
    for number, text in enumerate(texts):
        if number == 0:
            yield heading
        yield from _hanging("  - ", text)


def _hanging(lead: str, text: str) -> list[str]:
    return wrap(
        f"{lead}{text}",
        WIDTH,
        subsequent_indent=" " * min(len(lead), 6),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _half_minutes(halves: int) -> str:
    minutes, half = divmod(halves, 2)
    return f"{minutes or ''}{'½' if half else ''} min"


def _minutes(seconds: int) -> str:
    """Whole minutes, as a person would say them; seconds where it is less than one."""
    return f"{round(seconds / 60)} min" if seconds >= 60 else f"{seconds} s"
