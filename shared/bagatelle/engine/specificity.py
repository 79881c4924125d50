"""How specific a task is: which material, in which manner, how much, finished when.

An open question is a finding, with the place that would answer it and a JSON Patch that proposes an answer.
"""

from collections.abc import Iterable
from typing import Any

from bagatelle.engine.budget import seconds_of
from bagatelle.engine.own_task import manner_to_propose
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.proposals import passes_within
from bagatelle.model.exercise import OwnTaskProposal
from bagatelle.model.plan import Finding, PatchOperation
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import Area, Question
from bagatelle.wording.render import Say

_PASSES = 3


def open_questions(placed: PlacedTask) -> tuple[Question, ...]:
    """The questions that a task of the learner's own leaves open."""
    task = placed.task
    questions: list[Question] = []
    if not task.passages:
        questions += ["which", "how-much"]
    elif any(passage.passes is None for passage in task.passages):
        questions.append("how-much")
    if task.manner is None:
        questions.append("how")
    if task.done_when is None:
        questions.append("finished-when")
    return tuple(questions)


def findings_of_own_task(
    task_id: str, placed: PlacedTask, proposal: OwnTaskProposal, room_seconds: int, say: Say
) -> tuple[Finding, ...]:
    """A finding for each open question; the proposal is cut to the room before, passes are cut to it here."""
    return tuple(
        Finding(
            task=task_id,
            question=question,
            pointer=pointer,
            message=say(Message(f"engine.finding.{question}", {"title": placed.title})),
            proposal=operations,
        )
        for question in open_questions(placed)
        for pointer, operations in [_answer(question, placed, proposal, room_seconds, say)]
    )


def area_finding(task_id: str, placed: PlacedTask, area: Area, say: Say) -> Finding:
    """Neither the task nor its block names an area."""
    owner = placed.pointer.rpartition("/tasks/")[0] or placed.pointer
    if any(task.area is not None for task in placed.block.tasks):
        owner = placed.pointer
    return Finding(
        task=task_id,
        question="area",
        pointer=f"{owner}/area",
        message=say(
            Message("engine.finding.area", {"title": placed.title, "area": Message(f"engine.area.{area}")})
        ),
        proposal=(PatchOperation(op="add", path=f"{placed.pointer}/area", value=area),),
    )


def minutes_finding(position: int, title: str, minutes: float, total: float, say: Say) -> Finding:
    """A block's minutes are not the sum of its tasks'."""
    path = f"/routine/blocks/{position}/minutes"
    return Finding(
        task=None,
        question="minutes",
        pointer=path,
        message=say(Message("engine.finding.minutes", {"title": title, "minutes": minutes, "total": total})),
        proposal=(PatchOperation(op="replace", path=path, value=total),),
    )


def minutes_findings(placed: Iterable[PlacedTask], say: Say) -> Iterable[Finding]:
    """One for each block that disagrees with its tasks."""
    totals: dict[int, float] = {}
    blocks: dict[int, PlacedTask] = {}
    for item in placed:
        totals[item.block_position] = totals.get(item.block_position, 0.0) + item.minutes
        blocks[item.block_position] = item
    for position, item in blocks.items():
        minutes = item.block.minutes
        total = round(totals[position], 4)
        if minutes is not None and seconds_of(minutes) != seconds_of(total):
            yield minutes_finding(position, item.block.title, minutes, total, say)


def _answer(
    question: Question, placed: PlacedTask, proposal: OwnTaskProposal, room_seconds: int, say: Say
) -> tuple[str, tuple[PatchOperation, ...]]:
    if placed.alone:
        # The block lists no tasks: what is proposed is its one task, whole, whichever question is asked.
        path = f"{placed.pointer}/tasks"
        return path, (PatchOperation(op="add", path=path, value=[_whole_task(placed, proposal, say)]),)
    pointer = placed.pointer
    value: object
    match question:
        case "how":
            path, value = f"{pointer}/manner", say(Message(manner_to_propose(placed.task, proposal)))
        case "finished-when":
            path, value = f"{pointer}/done_when", say(Message(proposal.done_when))
        case "how-much" if placed.task.passages:
            operations = tuple(_passes_operations(placed, room_seconds))
            return operations[0].path, operations
        case _:
            path, value = f"{pointer}/passages", [_passage(proposal, say)]
    return path, (PatchOperation(op="add", path=path, value=value),)


def _passes_operations(placed: PlacedTask, room_seconds: int) -> Iterable[PatchOperation]:
    for index, passage in enumerate(placed.task.passages):
        if passage.passes is None:
            passes = max(passes_within(passage, _PASSES, room_seconds), 1)
            yield PatchOperation(op="add", path=f"{placed.pointer}/passages/{index}/passes", value=passes)


def _passage(proposal: OwnTaskProposal, say: Say) -> dict[str, Any]:
    passage: dict[str, Any] = {"id": "p1", "label": say(Message(proposal.label)), "passes": proposal.passes}
    if proposal.bars is not None and proposal.bpm is not None:
        return passage | {"bars": proposal.bars, "bpm": proposal.bpm}
    return passage | {"seconds": proposal.seconds}


def _whole_task(placed: PlacedTask, proposal: OwnTaskProposal, say: Say) -> dict[str, Any]:
    block = placed.block
    return {
        **({"id": block.id} if block.id is not None else {}),
        "title": block.title,
        "minutes": placed.minutes,
        "passages": [_passage(proposal, say)],
        "manner": say(Message(proposal.manner)),
        "done_when": say(Message(proposal.done_when)),
    }
