"""Rules: each report agrees with the steps, and no rule gave way that could have been kept."""

from collections import Counter
from typing import Literal, TypeAlias

from msgspec import UNSET

from bagatelle.model.plan import RuleReport
from bagatelle.verify.budgets import day_terms
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Group, Notebook

RuleName: TypeAlias = Literal["warm-up-before-strain", "music-in-hand", "own-warm-up-first", "task-count"]

RULES: tuple[RuleName, ...] = ("warm-up-before-strain", "music-in-hand", "own-warm-up-first", "task-count")


def check_rules(subject: Subject) -> Group:
    """Recompute what each rule report says."""
    notebook = Notebook("rules", "warm-up before strain, music in hand, number of tasks, pins, floors")
    counts = Counter(report.rule for report in subject.plan.rules)
    for rule in RULES:
        notebook.equal(counts[rule], 1, "reports", "/plan/rules", f"The number of reports on {rule!r}")
    for position, report in enumerate(subject.plan.rules):
        pointer = f"/plan/rules/{position}"
        notebook.equal(report.kept, _holds(subject, report), "kept", f"{pointer}/kept", f"{report.rule!r}")
        notebook.expect(
            bool(report.because.strip()), "because", f"{pointer}/because", f"{report.rule!r} gives no reason."
        )
    notebook.expect(
        subject.things_kept <= subject.reported_limit,
        "too-many",
        "/plan/steps",
        f"{subject.things_kept} things are kept; the limit is {subject.reported_limit}.",
    )
    _check_limit(notebook, subject)
    if subject.single_window:
        _check_gave_way(notebook, subject)
    _check_pins(notebook, subject)
    return notebook.group()


def _holds(subject: Subject, report: RuleReport) -> bool:
    """Whether the steps keep a rule. One that asks for nothing on this day is kept."""
    if report.rule == "warm-up-before-strain":
        return _prepared_in_time(subject)
    if report.rule == "music-in-hand":
        due = subject.music_is_due(subject.plan.budget_seconds)
        return not due or any(subject.tasks[name].music for name in subject.played_seconds)
    if report.rule == "own-warm-up-first":
        return _opens(subject)
    return subject.things_kept <= subject.limit_at(subject.plan.budget_seconds)


def _opens(subject: Subject) -> bool:
    """Whether the own warm-up is played, where it is asked for, and a window begins with it."""
    asked = subject.opening_at(subject.plan.budget_seconds)
    firsts: dict[int, str | None] = {}
    for _, step in subject.task_steps:
        firsts.setdefault(step.window, step.task)
    return asked <= set(firsts.values())


def _prepared_in_time(subject: Subject) -> bool:
    for _, step in subject.task_steps:
        task = subject.tasks[step.task or ""]
        if task.prepares:
            return True
        if task.strains:
            return False
    return True


def _check_limit(notebook: Notebook, subject: Subject) -> None:
    """The limit is the policy's; where the duties need more, so many more."""
    least = subject.limit_at(subject.plan.budget_seconds)
    most = day_terms(subject).limit if subject.single_window else max(least, _enough_for_duties(subject))
    for position, report in enumerate(subject.plan.rules):
        if report.rule == "task-count":
            notebook.expect(
                report.limit is not UNSET and least <= report.limit <= most,
                "limit",
                f"/plan/rules/{position}/limit",
                f"The limit of tasks is {report.limit}; expected {least}, or up to {most} for the duties.",
            )


def _enough_for_duties(subject: Subject) -> int:
    """How many tasks are enough for all duties: what must be kept, one that prepares, one of music or other."""
    return len(subject.pinned) + subject.something_prepares + subject.something_is_more


def _check_gave_way(notebook: Notebook, subject: Subject) -> None:
    """A rule gives way, and floors fall, only where no legal plan is left otherwise."""
    terms = day_terms(subject)
    demanded = {
        "warm-up-before-strain": terms.prepare,
        "music-in-hand": terms.music,
        "own-warm-up-first": bool(terms.must - subject.pinned),
    }
    for position, report in enumerate(subject.plan.rules):
        notebook.expect(
            report.kept or not demanded.get(report.rule, False),
            "gave-way",
            f"/plan/rules/{position}",
            f"{report.rule!r} is said to give way; a legal plan keeps it.",
        )
    notebook.equal(
        subject.plan.floor_mode, terms.floor_mode, "floor-mode", "/plan/floor_mode", "The mode of the floors"
    )
    notebook.expect(
        subject.plays_more_than_a_warm_up or not terms.more,
        "only-a-warm-up",
        "/plan/steps",
        "Nothing but a warm-up is played; a legal plan holds something else.",
    )
    missing = sorted((terms.must & subject.pinned) - subject.played_seconds.keys())
    notebook.expect(
        not missing, "always", "/plan/steps", f"{missing} are pinned always and could be kept, but are not."
    )


def _check_pins(notebook: Notebook, subject: Subject) -> None:
    """What is pinned always is kept, or a finding says that it cannot be."""
    said = {finding.task for finding in subject.plan.findings if finding.question == "pin"}
    missing = sorted(subject.pinned - subject.played_seconds.keys() - said)
    notebook.expect(
        not missing,
        "always",
        "/plan/findings",
        f"{missing} are pinned always and not kept; no finding says so.",
    )
