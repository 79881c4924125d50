"""Small changes, offered one at a time and never applied by themselves.

In order of importance: a plan that is too long comes first, as what is skipped or left out may come of it alone;
then what has been left out too long; then what is skipped again and again; then the next stage, which can wait.
Within one kind, what has the most to show comes first, then the smaller id. Common practice, no source.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Final

from msgspec import Struct

from bagatelle.engine.stages import days_said, evidence, stage_text
from bagatelle.engine.steps import duration
from bagatelle.model.progress import (
    LogEntry,
    LogKind,
    Offer,
    OfferedChange,
    OfferEvidence,
    PlanFit,
    PlanUse,
    PracticeFacts,
    TaskFacts,
    TaskProgress,
)
from bagatelle.model.request import HistoryEntry
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import STAGES, Pin
from bagatelle.policy.progress import ProgressPolicy
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say

_HUNDREDTHS: Final = 100
_WANTED_AS_IT_COMES: Final[frozenset[Pin]] = frozenset({"auto", "more"})


class Findings(Struct, frozen=True, kw_only=True):
    """What has been found out already, and offers stand on."""

    entries: tuple[LogEntry, ...]
    """Those that count, of the stretch."""
    kept: Mapping[date, LogKind]
    plans: PlanUse
    fit: PlanFit
    tasks: tuple[TaskProgress, ...]


def first_offer(
    facts: PracticeFacts, found: Findings, policy: Policy, numbers: ProgressPolicy, say: Say
) -> Offer | None:
    """The most important change that has not been answered yet."""
    offers = offers_in_order(facts, found, policy, numbers, say)
    return next((offer for offer in offers if offer.key not in facts.answered), None)


def offers_in_order(
    facts: PracticeFacts, found: Findings, policy: Policy, numbers: ProgressPolicy, say: Say
) -> Iterable[Offer]:
    """Every change that there is evidence for, answered or not, the most important first."""
    task_by_id = {task.id: task for task in facts.tasks if task.current}
    yield from _shorter_plan(facts, found.fit, policy, numbers, say)
    yield from _left_out(facts, found, task_by_id, numbers, say)
    yield from _skipped(found, task_by_id, say)
    yield from _next_stages(facts, found, task_by_id, policy, say)


def _shorter_plan(
    facts: PracticeFacts, fit: PlanFit, policy: Policy, numbers: ProgressPolicy, say: Say
) -> Iterable[Offer]:
    if (
        not fit.plan_is_longer
        or fit.fits_seconds is None
        or fit.plan_seconds is None
        or not facts.usual_seconds
    ):
        return
    hundredths = max(fit.fits_seconds, policy.least_budget_seconds) * _HUNDREDTHS // facts.usual_seconds
    offered = hundredths * facts.usual_seconds // _HUNDREDTHS
    if not hundredths or offered + numbers.least_change_seconds > fit.plan_seconds:
        return
    text = Message(
        "engine.offer.shorter-plan",
        {
            "fits": duration(fit.fits_seconds),
            "days": fit.days,
            "plan": duration(fit.plan_seconds),
            "offered": duration(offered),
        },
    )
    yield Offer(
        key=f"shorter-plan:{fit.plan_seconds}",
        kind="shorter-plan",
        task=None,
        change=OfferedChange(share=hundredths / _HUNDREDTHS),
        evidence=OfferEvidence(
            days=fit.days,
            fits_seconds=fit.fits_seconds,
            high_seconds=fit.high_seconds,
            plan_seconds=fit.plan_seconds,
        ),
        message=say(text),
    )


def _left_out(
    facts: PracticeFacts,
    found: Findings,
    task_by_id: Mapping[str, TaskFacts],
    numbers: ProgressPolicy,
    say: Say,
) -> Iterable[Offer]:
    """Counted in kept days: what nothing was played beside has not been left out for anything.

    What is planned and skipped again and again is left out by whoever plays, and wanting it more would not help.
    """
    skipped = {each.task for each in found.plans.skipped}
    days_without = {
        progress.task: _kept_days_without(facts, found, task_by_id[progress.task], progress.last_day)
        for progress in found.tasks
        if progress.task in task_by_id and progress.task not in skipped
    }
    for task_id, days in sorted(days_without.items(), key=lambda each: (-each[1], each[0])):
        task = task_by_id[task_id]
        enough = max(numbers.left_out_days, numbers.left_out_cadences * task.cadence_days)
        if task.pin == "auto" and days >= enough:
            text = Message("engine.offer.left-out", {"title": task.title, "days": days})
            yield Offer(
                key=f"left-out:{task.id}",
                kind="left-out",
                task=task.id,
                change=OfferedChange(pin="more"),
                evidence=OfferEvidence(days=days),
                message=say(text),
            )


def _kept_days_without(facts: PracticeFacts, found: Findings, task: TaskFacts, last_day: date | None) -> int:
    """Days kept with more than free playing, before today, since the task last came or came in."""
    first = max(facts.first_day, task.since or facts.first_day)
    return sum(
        kind != "free" and day < facts.today and (day >= first if last_day is None else day > last_day)
        for day, kind in found.kept.items()
    )


def _skipped(found: Findings, task_by_id: Mapping[str, TaskFacts], say: Say) -> Iterable[Offer]:
    for each in sorted(found.plans.skipped, key=lambda skipped: (-skipped.skipped_on, skipped.task)):
        task = task_by_id.get(each.task)
        if task is not None and task.pin in _WANTED_AS_IT_COMES:
            text = Message(
                "engine.offer.skipped",
                {"title": task.title, "planned": each.planned_on, "skipped": each.skipped_on},
            )
            yield Offer(
                key=f"skipped:{task.id}",
                kind="skipped",
                task=task.id,
                change=OfferedChange(pin="less"),
                evidence=OfferEvidence(planned_on=each.planned_on, skipped_on=each.skipped_on),
                message=say(text),
            )


def _next_stages(
    facts: PracticeFacts,
    found: Findings,
    task_by_id: Mapping[str, TaskFacts],
    policy: Policy,
    say: Say,
) -> Iterable[Offer]:
    said = days_said(
        HistoryEntry(task=entry.task, date=entry.day, done_when_met=entry.done_when_met)
        for entry in found.entries
        if entry.task is not None
    )
    for _, task in sorted(task_by_id.items()):
        if task.stage is None or task.stage == STAGES[-1]:
            continue
        met_on = evidence(said.get(task.id, {}), task.stage_since, facts.today, policy)
        if met_on:
            next_stage = STAGES[STAGES.index(task.stage) + 1]
            yield Offer(
                key=f"next-stage:{task.id}:{next_stage}",
                kind="next-stage",
                task=task.id,
                change=OfferedChange(stage=next_stage, stage_since=facts.today),
                evidence=OfferEvidence(met_on=met_on),
                message=say(stage_text(task.title, task.stage, next_stage, met_on)),
            )
