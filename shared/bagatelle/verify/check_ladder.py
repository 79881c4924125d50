"""Ladder: prepared plans, rungs, and the walk beside the optimum at each minute."""

import math
from itertools import pairwise

from bagatelle.model.plan import Dose, LadderMinute, PreparedPlan
from bagatelle.verify.budgets import terms_at
from bagatelle.verify.legal import check_legal, doses_known, is_legal
from bagatelle.verify.optimum import TooBigError, best_worth
from bagatelle.verify.subject import Subject, seconds_by_task
from bagatelle.verify.verdict import Group, Notebook
from bagatelle.verify.walk import walk

FIRST_MINUTE = 5
MINUTES_SEARCHED = 4
"""At how many minutes the optimum is found again, unless all are asked for."""


def check_ladder(subject: Subject, *, optimum: bool, thorough: bool) -> Group:
    """Recompute the ladder; with `optimum` find some of its optima again, with `thorough` all of them."""
    ladder = subject.plan.ladder
    notebook = Notebook(
        "ladder",
        f"{len(ladder.prepared)} prepared plans, {len(ladder.rungs)} rungs, {len(ladder.minutes)} minutes",
    )
    _check_rungs(notebook, subject)
    usable = _check_prepared(notebook, subject, optimum=optimum)
    _check_minutes_listed(notebook, subject)
    for position, minute in enumerate(ladder.minutes):
        _check_minute(notebook, subject, f"/plan/ladder/minutes/{position}", minute, usable)
    _check_ratios(notebook, subject)
    if optimum:
        for position in _searched(len(ladder.minutes), thorough=thorough):
            _check_best(notebook, subject, f"/plan/ladder/minutes/{position}", ladder.minutes[position])
    return notebook.group()


def _check_rungs(notebook: Notebook, subject: Subject) -> None:
    reached: dict[str, int] = {}
    for position, rung in enumerate(subject.plan.ladder.rungs):
        pointer = f"/plan/ladder/rungs/{position}"
        task = subject.available.get(rung.task)
        if task is None:
            notebook.fault("rung-unavailable", f"{pointer}/task", f"{rung.task!r} is not available.")
            continue
        before = reached.get(rung.task, 0)
        notebook.expect(
            rung.to_seconds > before and task.units_exactly(rung.to_seconds) is not None,
            "rung",
            f"{pointer}/to_seconds",
            f"{rung.task!r} is lifted from {before} s to {rung.to_seconds} s; expected more, in whole units.",
        )
        cost = rung.to_seconds - before + (0 if rung.task in reached else task.set_up_seconds)
        notebook.equal(rung.cost_seconds, cost, "cost", f"{pointer}/cost_seconds", "The cost of the rung")
        reached[rung.task] = rung.to_seconds
    for name, task in subject.available.items():
        if name in subject.stand_ins:
            continue  # two minutes of warm-up are no aim of their own
        notebook.equal(
            reached.get(name, 0),
            task.dose_seconds[-1],
            "unfinished",
            "/plan/ladder/rungs",
            f"The highest rung of {name!r}",
        )


def _check_prepared(notebook: Notebook, subject: Subject, *, optimum: bool) -> list[PreparedPlan]:
    """Check the prepared plans; those whose doses make sense are given back."""
    prepared = subject.plan.ladder.prepared
    for position, (before, after) in enumerate(pairwise(prepared), start=1):
        notebook.expect(
            before.budget_seconds < after.budget_seconds,
            "prepared-order",
            f"/plan/ladder/prepared/{position}/budget_seconds",
            f"A plan for {after.budget_seconds} s comes after one for {before.budget_seconds} s.",
        )
    usable = []
    for position, plan in enumerate(prepared):
        pointer = f"/plan/ladder/prepared/{position}"
        if doses_known(notebook, subject, pointer, plan.doses):
            usable.append(plan)
            _check_prepared_plan(notebook, subject, pointer, plan, optimum=optimum)
    return usable


def _check_prepared_plan(
    notebook: Notebook, subject: Subject, pointer: str, plan: PreparedPlan, *, optimum: bool
) -> None:
    terms = terms_at(subject, plan.budget_seconds)
    if terms is None:
        notebook.fault("prepared-fits", pointer, f"Nothing fits into {plan.budget_seconds} s.")
        return
    notebook.equal(
        plan.floor_mode, terms.floor_mode, "floor-mode", f"{pointer}/floor_mode", "The mode of the floors"
    )
    check_legal(notebook, subject, pointer, plan.doses, terms)
    worth = subject.worth(seconds_by_task(plan.doses))
    notebook.equal(plan.worth, worth, "prepared-worth", f"{pointer}/worth", "The worth of the prepared plan")
    if not optimum or not plan.proved:
        return
    try:
        better = best_worth(subject.window(terms), more_than=plan.worth)
    except TooBigError:
        notebook.not_checked("prepared-optimum", pointer, "The optimum was not found again: too big.")
        return
    notebook.expect(
        better is None,
        "prepared-optimum",
        f"{pointer}/worth",
        f"It is called proved at a worth of {plan.worth}; a legal plan is worth {better}.",
    )


def _check_minutes_listed(notebook: Notebook, subject: Subject) -> None:
    """Every whole minute at which anything fits is listed; of too many, evenly spread ones."""
    listed = [minute.minutes for minute in subject.plan.ladder.minutes]
    if not listed:
        return
    last = math.ceil(subject.plan.usual_seconds / 60)
    minutes = range(FIRST_MINUTE, last + 1)
    # What fits into some minutes fits into more.
    first = next((minute for minute in minutes if terms_at(subject, 60 * minute)), last + 1)
    every = list(range(first, last + 1))
    notebook.expect(
        listed == every or _evenly_spread(listed, every),
        "minutes",
        "/plan/ladder/minutes",
        f"The minutes listed are {listed}; expected each from {every[:1]} to {last} or evenly spread ones.",
    )


def _evenly_spread(listed: list[int], every: list[int]) -> bool:
    """Whether whole minutes lie as near as they can to equal distances, up to the last."""
    if len(listed) < 2 or not set(listed) <= set(every) or listed[-1] != every[-1]:
        return False
    step = (listed[-1] - listed[0]) / (len(listed) - 1)
    # Where nothing fits at the first of them, the list begins at a minute that was rounded itself.
    tolerance = 0.5 if listed[0] == FIRST_MINUTE else 1.0
    spread = (abs(listed[0] + step * index - minute) for index, minute in enumerate(listed))
    return listed[0] - every[0] <= step + 1 and all(distance <= tolerance + 1e-6 for distance in spread)


def _check_minute(
    notebook: Notebook, subject: Subject, pointer: str, minute: LadderMinute, prepared: list[PreparedPlan]
) -> None:
    budget = 60 * minute.minutes
    start = max(
        (plan for plan in prepared if plan.budget_seconds <= budget),
        key=lambda plan: plan.budget_seconds,
        default=None,
    )
    played = walk(subject, budget, start)
    notebook.equal(
        minute.worth,
        subject.worth(played),
        "walk",
        f"{pointer}/worth",
        f"The walk of {minute.minutes} min",
    )
    # The start was made for a shorter day, whose floors are lower; only a walk that is legal here is bounded.
    terms = terms_at(subject, budget)
    doses = tuple(Dose(task=task, seconds=seconds) for task, seconds in played.items())
    notebook.expect(
        minute.best >= minute.worth or terms is None or not is_legal(subject, doses, terms),
        "best",
        f"{pointer}/best",
        f"The best plan of {minute.minutes} min is worth {minute.best}; the walk, legal, {minute.worth}.",
    )


def _check_ratios(notebook: Notebook, subject: Subject) -> None:
    ladder = subject.plan.ladder
    # A walk may come out above the best plan: it keeps what a shorter day began. It counts as 1 then.
    ratios = [min(minute.worth / minute.best, 1.0) for minute in ladder.minutes if minute.best > 0]
    lowest = math.floor(min(ratios) * 10_000) / 10_000 if ratios else None
    mean = round(sum(ratios) / len(ratios), 4) if ratios else None
    notebook.equal(ladder.lowest_ratio, lowest, "lowest-ratio", "/plan/ladder/lowest_ratio", "The least")
    notebook.equal(ladder.mean_ratio, mean, "mean-ratio", "/plan/ladder/mean_ratio", "The mean ratio")


def _searched(count: int, *, thorough: bool) -> list[int]:
    """Positions of the minutes at which the optimum is found again: all, or some evenly spread."""
    if thorough or count <= MINUTES_SEARCHED:
        return list(range(count))
    return [index * (count - 1) // (MINUTES_SEARCHED - 1) for index in range(MINUTES_SEARCHED)]


def _check_best(notebook: Notebook, subject: Subject, pointer: str, minute: LadderMinute) -> None:
    terms = terms_at(subject, 60 * minute.minutes)
    if terms is None:
        return  # said already: the minute should not be listed
    try:
        best = best_worth(subject.window(terms), more_than=minute.best - 1 if minute.proved else minute.best)
    except TooBigError:
        notebook.not_checked(
            "best", pointer, f"The optimum of {minute.minutes} min was not found again: too big a question."
        )
        return
    expected = minute.best if minute.proved else None
    notebook.expect(
        best == expected,
        "best",
        f"{pointer}/best",
        f"The best plan of {minute.minutes} min is said to be worth {minute.best}; the optimum is "
        + ("less." if best is None else f"{best}."),
    )
