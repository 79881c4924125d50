"""Stages move: a task that has met its own finish line often enough is proposed for the next stage.

As a teacher would say it: when it has come out finished every time you looked, on three days at least and over a
week at least, it may go on. One day on which it did not begins the count anew; days on which nobody said count
neither way. Common practice, no source.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from bagatelle.engine.settled import SettledTask
from bagatelle.model.plan import PatchOperation, StageProposal
from bagatelle.model.request import CompressionRequest, HistoryEntry
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import STAGES, Stage
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say


def stage_proposals(
    request: CompressionRequest, tasks: Iterable[SettledTask], policy: Policy, say: Say
) -> tuple[StageProposal, ...]:
    """A proposal for each task whose evidence is enough; none for a stage that the routine does not state.

    Parameters
    ----------
    request
        What was done, and the day of the plan: only what is dated before it is evidence, and nothing from
        before the day on which the task's stage was set.
    tasks
        In the order in which proposals are wanted.
    """
    day = request.date
    said = days_said(request.history)
    if day is None or not said:
        return ()
    return tuple(
        _proposal(task, met_on, day, say)
        for task in tasks
        if "stage" not in task.filled_in and task.stage != STAGES[-1]
        for met_on in [evidence(said.get(task.id, {}), task.stage_since, day, policy)]
        if met_on
    )


def days_said(history: Iterable[HistoryEntry]) -> dict[str, dict[date, bool]]:
    """By task and day, whether the finish line was met; a day of which both is said counts as not met."""
    said: dict[str, dict[date, bool]] = {}
    for entry in history:
        if entry.done_when_met is not None:
            days = said.setdefault(entry.task, {})
            days[entry.date] = days.get(entry.date, True) and entry.done_when_met
    return said


def evidence(days: Mapping[date, bool], since: date | None, before: date, policy: Policy) -> tuple[date, ...]:
    """The fewest last days, all met, that are enough and far enough apart; none where there are none.

    Parameters
    ----------
    days
        Each day of which it was said whether the finish line was met.
    since
        The first day that counts, or None for all.
    before
        The first day that does not count any more.
    """
    met: list[date] = []
    for day in sorted(
        (each for each in days if each < before and (since is None or each >= since)), reverse=True
    ):
        if not days[day]:
            return ()
        met.append(day)
        if len(met) >= policy.stage_met_days and (met[0] - day).days >= policy.stage_met_span_days:
            return tuple(reversed(met))
    return ()


def stage_text(title: str, stage: Stage, next_stage: Stage, met_on: Sequence[date]) -> Message:
    """Why a task may go on to its next stage."""
    return Message(
        "engine.stage-proposal",
        {
            "title": title,
            "days": len(met_on),
            "first": met_on[0].isoformat(),
            "last": met_on[-1].isoformat(),
            "stage": Message(f"engine.stage.{stage}"),
            "next_stage": Message(f"engine.stage.{next_stage}"),
        },
    )


def _proposal(task: SettledTask, met_on: tuple[date, ...], day: date, say: Say) -> StageProposal:
    next_stage = STAGES[STAGES.index(task.stage) + 1]
    return StageProposal(
        task=task.id,
        stage=task.stage,
        next_stage=next_stage,
        met_on=met_on,
        message=say(stage_text(task.title, task.stage, next_stage, met_on)),
        proposal=(
            PatchOperation(op="replace", path=f"{task.pointer}/stage", value=next_stage),
            PatchOperation(op="add", path=f"{task.pointer}/stage_since", value=day.isoformat()),
        ),
    )
