"""Rules: each report agrees with the steps, and no rule gave way that could have been kept."""

from collections import Counter
from typing import Literal, TypeAlias

import msgspec
from msgspec import UNSET

from bagatelle.model.plan import RuleReport
from bagatelle.verify.optimum import legal_plan_exists
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Group, Notebook

RuleName: TypeAlias = Literal["warm-up-before-strain", "music-in-hand", "task-count"]

RULES: tuple[RuleName, ...] = ("warm-up-before-strain", "music-in-hand", "task-count")


def check_rules(subject: Subject) -> Group:
    """Recompute what each rule report says."""
    notebook = Notebook("rules", "warm-up before strain, music in hand, number of tasks, pins")
    counts = Counter(report.rule for report in subject.plan.rules)
    for rule in RULES:
        notebook.equal(counts[rule], 1, "reports", "/plan/rules", f"The number of reports on {rule!r}")
    kept = {report.rule: report.kept for report in subject.plan.rules}
    for position, report in enumerate(subject.plan.rules):
        pointer = f"/plan/rules/{position}"
        notebook.equal(report.kept, _holds(subject, report), "kept", f"{pointer}/kept", f"{report.rule!r}")
        notebook.expect(
            bool(report.because.strip()), "because", f"{pointer}/because", f"{report.rule!r} gives no reason."
        )
        if report.rule == "task-count":
            _check_limit(notebook, subject, f"{pointer}/limit", report)
        elif not report.kept and subject.single_window:
            _check_gave_way(notebook, subject, pointer, report.rule, kept)
    _check_pins(notebook, subject)
    return notebook.group()


def _holds(subject: Subject, report: RuleReport) -> bool:
    """Whether the steps keep a rule."""
    if report.rule == "warm-up-before-strain":
        return _prepared_in_time(subject)
    if report.rule == "music-in-hand":
        return any(subject.tasks[name].music for name in subject.played_seconds) or not subject.music_is_due(
            subject.plan.budget_seconds
        )
    return report.limit is UNSET or len(subject.played_seconds) <= report.limit


def _prepared_in_time(subject: Subject) -> bool:
    for _, step in subject.task_steps:
        task = subject.tasks[step.task or ""]
        if task.prepares:
            return True
        if task.strains:
            return False
    return True


def _check_limit(notebook: Notebook, subject: Subject, pointer: str, report: RuleReport) -> None:
    limit = subject.limit_at(subject.plan.budget_seconds)
    needed = max(limit, _fewest_for_duties(subject))
    notebook.expect(
        report.limit is not UNSET and limit <= report.limit <= needed,
        "limit",
        pointer,
        f"The limit of tasks is {report.limit}; expected {limit}, or up to {needed} where duties need it.",
    )


def _fewest_for_duties(subject: Subject) -> int:
    """How many tasks are enough for all duties: what must be kept, one that prepares, one of music."""
    must = [task for task in subject.available.values() if task.must]
    prepares = subject.something_prepares and not any(task.prepares for task in must)
    music = subject.music_is_due(subject.plan.budget_seconds) and not any(task.music for task in must)
    return len(must) + prepares + music


def _check_gave_way(
    notebook: Notebook, subject: Subject, pointer: str, rule: RuleName, kept: dict[RuleName, bool]
) -> None:
    """A rule may give way only where no legal plan keeps it, the other rules being as the plan has them."""
    if rule == "warm-up-before-strain" and not subject.something_prepares:
        return  # the routine has nothing that prepares; the rule asks for nothing
    prepare = subject.something_prepares and (
        rule == "warm-up-before-strain" or kept.get("warm-up-before-strain", False)
    )
    music = rule == "music-in-hand" or (
        kept.get("music-in-hand", False) and subject.music_is_due(subject.plan.budget_seconds)
    )
    terms = msgspec.structs.replace(
        subject.day_terms,
        limit=max(subject.limit_at(subject.plan.budget_seconds), len(subject.played_seconds)),
        prepare=prepare,
        music=music,
    )
    notebook.expect(
        not legal_plan_exists(subject.window(terms)),
        "gave-way",
        pointer,
        f"{rule!r} is said to give way; a legal plan keeps it.",
    )


def _check_pins(notebook: Notebook, subject: Subject) -> None:
    """What is pinned to be kept always is kept, or a warning says why not."""
    missing = [
        task.id for task in subject.available.values() if task.must and task.id not in subject.played_seconds
    ]
    for name in missing:
        said = any(name in notice.message for notice in subject.plan.warnings)
        notebook.expect(
            said,
            "always",
            "/plan/steps",
            f"{name!r} is pinned always and not kept, and no warning says so.",
        )
