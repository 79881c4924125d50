"""Alternatives: each a legal plan of its kind, and whether the choice is a toss-up."""

import msgspec

from bagatelle.model.plan import Alternative
from bagatelle.verify.budgets import day_terms
from bagatelle.verify.figures import counted
from bagatelle.verify.legal import check_legal, doses_known
from bagatelle.verify.optimum import TooBigError, best_worth
from bagatelle.verify.subject import Subject, seconds_by_task
from bagatelle.verify.verdict import Group, Notebook


def check_alternatives(subject: Subject, *, optimum: bool) -> Group:
    """Look at each alternative as a plan, and at what is said of a toss-up."""
    alternatives = subject.plan.alternatives
    notebook = Notebook("alternatives", f"{len(alternatives)} alternative(s), the toss-up")
    kinds = [alternative.why for alternative in alternatives]
    notebook.expect(
        len(set(kinds)) == len(kinds),
        "twice",
        "/plan/alternatives",
        f"The kinds are {kinds}; expected no repeats.",
    )
    for position, alternative in enumerate(alternatives):
        pointer = f"/plan/alternatives/{position}"
        if doses_known(notebook, subject, pointer, alternative.doses):
            check_legal(notebook, subject, pointer, alternative.doses, day_terms(subject))
            _check_kind(notebook, subject, pointer, alternative)
    _check_toss_up(notebook, subject, optimum=optimum)
    return notebook.group()


def _check_kind(notebook: Notebook, subject: Subject, pointer: str, alternative: Alternative) -> None:
    doses = seconds_by_task(alternative.doses)
    notebook.equal(
        alternative.worth, subject.worth(doses), "worth", f"{pointer}/worth", "The worth of the alternative"
    )
    kept = set(subject.played_seconds)
    if alternative.why == "fewer things":
        notebook.expect(
            counted([subject.tasks[name] for name in doses]) < subject.things_kept,
            "not-fewer",
            f"{pointer}/doses",
            "It is called fewer things and has no fewer than the plan.",
        )
    else:
        notebook.expect(
            set(doses) - subject.stand_ins != kept - subject.stand_ins,
            "same-set",
            f"{pointer}/doses",
            "It is called another set; its tasks are the plan's.",
        )


def near(worth: int, best: int) -> bool:
    """Whether a worth comes within one in a hundred of the best."""
    return 100 * worth >= 99 * best


def _check_toss_up(notebook: Notebook, subject: Subject, *, optimum: bool) -> None:
    """A toss-up is a plan of another set of tasks whose worth comes within one in a hundred."""
    plan = subject.plan
    kept = frozenset(subject.played_seconds)
    others = [
        alternative.worth
        for alternative in plan.alternatives
        if {dose.task for dose in alternative.doses} != kept
    ]
    shown = any(near(worth, plan.certificate.worth) for worth in others)
    notebook.expect(
        plan.toss_up or not shown,
        "toss-up",
        "/plan/toss_up",
        "No toss-up is said; an alternative is within 1 %.",
    )
    notebook.expect(
        shown or not plan.toss_up,
        "toss-up",
        "/plan/toss_up",
        "A toss-up is said; no alternative is within 1 %.",
    )
    was_sought = plan.toss_up_sought and not plan.toss_up
    if optimum and subject.single_window and was_sought and plan.certificate.proved:
        _search_toss_up(notebook, subject, kept)


def _search_toss_up(notebook: Notebook, subject: Subject, kept: frozenset[str]) -> None:
    worth = subject.plan.certificate.worth
    window = msgspec.structs.replace(subject.window(day_terms(subject)), other_than=kept)
    least = -(-99 * worth // 100)
    try:
        other = best_worth(window, more_than=least - 1)
    except TooBigError:
        notebook.not_checked(
            "toss-up",
            "/plan/toss_up",
            "Whether another set is within 1 % was not checked: too big.",
        )
        return
    notebook.expect(
        other is None,
        "toss-up",
        "/plan/toss_up",
        f"No toss-up is said; another set of tasks is worth {other}, within 1 % of {worth}.",
    )
