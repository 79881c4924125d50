"""Putting the answer together from what was computed."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct

from bagatelle.engine.alternatives import others
from bagatelle.engine.body import sore_cautions, sore_places, stop_caution
from bagatelle.engine.budget import Budget, Slack
from bagatelle.engine.doses import floor_units, scale_of
from bagatelle.engine.ears import hearing_cautions, said_once, sounding
from bagatelle.engine.failed_tasks import failed_left_out, plugin_problems
from bagatelle.engine.fingerprint import fingerprint_of
from bagatelle.engine.kept import Kept
from bagatelle.engine.layout import seconds_of_visits
from bagatelle.engine.left_out import left_out
from bagatelle.engine.parts_left import parts_left
from bagatelle.engine.planned_day import PlannedDay, body_order
from bagatelle.engine.problem import Item, Problem
from bagatelle.engine.rotation import last_done_tasks
from bagatelle.engine.rules import rule_reports
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.sound import sound_exposure
from bagatelle.engine.stages import stage_proposals
from bagatelle.engine.steps import duration, steps_of
from bagatelle.engine.timetable import Slot, timetable_of, with_short_start
from bagatelle.model.exercise import Family
from bagatelle.model.plan import (
    Finding,
    Ladder,
    LeftOut,
    MadeWith,
    Notice,
    PatchOperation,
    Plan,
    PolicyNumbers,
    TaskNumbers,
    UnitNumbers,
    WindowNumbers,
)
from bagatelle.model.request import CompressionRequest
from bagatelle.model.text import Message, Value
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say

_TIME_LEFT_SECONDS: Final = 60
"""Less than this at the end of a day is nothing to speak of."""


class Made(Struct, frozen=True, kw_only=True):
    """Everything that was computed for one request."""

    request: CompressionRequest
    day: PlannedDay
    ladder: Ladder
    made_with: MadeWith
    say: Say


def plan_of(made: Made) -> Plan:
    """The plan as it is answered."""
    day = made.day
    solution, budget, policy = day.solution, day.budget, day.policy
    problem = solution.terms.problem
    by_id = {task.id: task for task in day.tasks}
    steps = steps_of(_slots(made, by_id), by_id, made.say)
    playing = sounding(steps, by_id)
    of_the_ears = tuple(hearing_cautions(steps, by_id, playing))
    problems = plugin_problems(day.reading.failed, made.say)
    other = others(
        problem,
        solution.certificate.worth,
        solution.doses,
        solution.solve_again,
        policy,
        one_window=len(budget.windows) == 1,
    )
    return Plan(
        fingerprint=fingerprint_of(made.request, made.made_with, problems),
        made_with=made.made_with,
        usual_seconds=budget.usual_seconds,
        budget_seconds=budget.seconds,
        planned_seconds=seconds_of_visits(solution.visits),
        share=budget.share,
        floor_mode=problem.floor_mode,
        policy=_policy_numbers(policy, budget.slack),
        windows=tuple(_window_numbers(budget)),
        steps=said_once(steps, by_id, of_the_ears, made.say),
        left_out=tuple(_left_out(made)),
        sore=bool(sore_places(made.request.circumstances)),
        parts_left=tuple(parts_left(day.tasks, steps, made.say)),
        tasks=tuple(_task_numbers(task, day.items[task.id], problem) for task in day.tasks),
        rules=rule_reports(solution.doses, by_id, solution.terms, made.say),
        ladder=made.ladder,
        certificate=solution.certificate,
        toss_up=other.toss_up,
        toss_up_sought=other.toss_up_sought,
        alternatives=other.alternatives,
        findings=(*day.reading.findings, *_pin_findings(made, by_id), *_shut_out_pin_findings(made)),
        warnings=(*day.reading.notices, *_warnings(made)),
        cautions=tuple(made.say(caution) for caution in (*_cautions(made, by_id), *of_the_ears)),
        sound=sound_exposure(playing),
        stage_proposals=stage_proposals(made.request, day.reading.tasks, policy, made.say),
        plugin_problems=problems,
    )


def _window_numbers(budget: Budget) -> Iterable[WindowNumbers]:
    for window in budget.windows:
        yield WindowNumbers(
            seconds=window.seconds,
            rest_seconds=window.rest_seconds,
            slack_seconds=window.slack_seconds,
            starts_at=window.starts_at,
        )


def _slots(made: Made, by_id: dict[str, SettledTask]) -> tuple[Slot, ...]:
    """The timetable; with little energy it begins with something small."""
    day = made.day
    scales = {item.id: scale_of(item) for item in day.solution.terms.problem.items}
    slots = timetable_of(day.solution.visits, day.budget.windows, scales, day.policy)
    # A warm-up is small enough to begin with as it is.
    begins_easily = slots[0].task is not None and by_id[slots[0].task].prepares
    if made.request.circumstances.energy != "low" or begins_easily:
        return slots
    most_seconds = day.policy.low_energy_first_seconds
    return with_short_start(slots, day.items, most_seconds, lambda task: body_order(by_id[task], "low"))


def _policy_numbers(policy: Policy, slack: Slack) -> PolicyNumbers:
    return PolicyNumbers(
        curve=policy.curve,
        share=policy.share,
        seconds_per_task=policy.seconds_per_task,
        music_from_seconds=policy.music_from_seconds,
        near_days=policy.near_days,
        own_warm_up_from_seconds=policy.own_warm_up_from_seconds,
        own_warm_up_share=policy.own_warm_up_share,
        slack_share=slack.share,
        least_slack_seconds=slack.least_seconds,
    )


def _left_out(made: Made) -> Iterable[LeftOut]:
    day = made.day
    spent, played = Counter[int](), Counter[str]()
    for visit in day.solution.visits:
        spent[visit.window] += visit.seconds + visit.set_up_seconds
        played[visit.task] += visit.seconds
    windows, problem = day.budget.windows, day.solution.terms.problem
    kept = Kept(
        problem=problem,
        circumstances=made.request.circumstances,
        tasks=tuple(task for task in day.tasks if task.id in day.solution.doses),
        seconds=played,
        days_since=_days_since(made.request),
        longest_window_seconds=max(window.playing_seconds for window in windows),
        left_seconds=tuple(window.playing_seconds - spent[at] for at, window in enumerate(windows)),
        day_left_seconds=problem.capacity_seconds - spent.total(),
        leaves_free=any(window.slack_seconds for window in windows),
    )
    for task in day.tasks:
        if task.id not in day.solution.doses and not task.stand_in:
            yield left_out(task, day.items[task.id], kept, made.say)
    for failed in day.reading.failed:
        yield failed_left_out(failed, made.say)


def _days_since(request: CompressionRequest) -> dict[str, int]:
    """Days since each task was last done, where that is known."""
    if request.date is None:
        return {}
    last = last_done_tasks(request.history, request.date)
    return {task: (request.date - day).days for task, day in last.items()}


def _task_numbers(task: SettledTask, item: Item, problem: Problem) -> TaskNumbers:
    turns = task.turns
    scale = scale_of(item)
    floor = scale.seconds(floor_units(item, scale, problem.budget_seconds, problem.floor_mode))
    return TaskNumbers(
        task=task.id,
        block=task.block,
        title=task.title,
        area=task.area,
        stage=task.stage,
        strain=task.strain,
        loudness=task.loudness,
        pin=task.pin,
        due_days=task.due_days,
        usual_seconds=task.usual_seconds,
        largest_seconds=scale.seconds(scale.largest_units),
        units=tuple(
            [
                UnitNumbers(
                    id=unit.id,
                    seconds=unit.time.seconds,
                    music_seconds=unit.time.music_seconds,
                    place=turns[position],
                )
                for position, unit in enumerate(task.units)
            ]
        ),
        smallest_chunk_seconds=scale.seconds(scale.units_reaching(task.chunk_seconds)),
        floor_seconds=floor,
        set_up_seconds=task.set_up_seconds,
        weight=task.weight,
        factors=task.factors,
        prepares=item.prepares,
        music=item.music,
        short_floor=item.short_floor,
        available=task.shut_out is None,
        stand_in=task.stand_in,
        at_rest=task.at_rest,
    )


def _pin_findings(made: Made, by_id: dict[str, SettledTask]) -> Iterable[Finding]:
    for identifier in made.day.solution.terms.unmet_pins:
        task = by_id[identifier]
        yield _pin_finding(made, task, Message("engine.finding.pin", {"title": task.title}))


def _shut_out_pin_findings(made: Made) -> Iterable[Finding]:
    """One for each task that is pinned always and that the day or a limit shuts out before the search."""
    for task in made.day.tasks:
        if task.pin == "always" and task.shut_out is not None:
            reason = Message(task.shut_out)
            yield _pin_finding(
                made, task, Message("engine.finding.pin-shut-out", {"title": task.title, "reason": reason})
            )


def _pin_finding(made: Made, task: SettledTask, text: Message) -> Finding:
    path = f"{task.pointer}/pin"
    return Finding(
        task=task.id,
        question="pin",
        pointer=path,
        message=made.say(text),
        proposal=(PatchOperation(op="replace", path=path, value="more"),),
    )


def _warnings(made: Made) -> Iterable[Notice]:
    say, budget, policy = made.say, made.day.budget, made.day.policy
    if budget.held:
        asked, planned = duration(budget.asked_seconds), duration(budget.seconds)
        yield _held(made, {"asked": asked, "planned": planned})
    elif made.request.policy.share is not None and budget.share > policy.warned_share:
        percent = round(budget.share * 100)
        yield Notice(
            code="share-over-a-third", message=say(Message("engine.warning.share", {"percent": percent}))
        )
    mode = made.day.solution.terms.problem.floor_mode
    if mode != "usual":
        yield Notice(code="floors-lowered", message=say(Message(f"engine.warning.floor-{mode}")))
    if _ends_with_work_in_the_head(made):
        yield Notice(code="enough-in-the-head", message=say(Message("engine.warning.enough-in-the-head")))


def _held(made: Made, times: Mapping[str, Value]) -> Notice:
    """Why a day gives more than is planned: it is no short day, or a day for less."""
    if made.day.reading.days_away is not None:
        code = "first-days-are-small"
    elif made.request.circumstances.energy == "low":
        code = "little-energy"
    else:
        code = "no-short-day"
    return Notice(code=code, message=made.say(Message(f"engine.warning.{code}", times)))


def _ends_with_work_in_the_head(made: Made) -> bool:
    """Whether time is left, and all that may be done in the head today is done, as much as a day may hold."""
    day, doses = made.day, made.day.solution.doses
    left = day.solution.terms.problem.capacity_seconds - seconds_of_visits(day.solution.visits)
    may_be_done = [task.id for task in day.tasks if task.in_the_head and task.shut_out is None]
    return (
        left >= _TIME_LEFT_SECONDS
        and bool(may_be_done)
        and all(doses.get(task, 0) == scale_of(day.items[task]).largest_units for task in may_be_done)
    )


def _cautions(made: Made, by_id: dict[str, SettledTask]) -> Iterable[Message]:
    """What concerns the day as a whole; what concerns one step travels with the step."""
    kept = [by_id[task] for task in made.day.solution.doses]
    family: Family = next((task.family for task in kept if task.family != "none"), "none")
    yield from sore_cautions(made.request.circumstances, family)
    if made.day.reading.days_away is not None:
        yield Message("engine.caution.after-a-gap", {"weeks": made.day.reading.days_away // 7})
    straining = [task for task in kept if task.strains]
    if straining and not any(task.prepares for task in kept):
        yield Message("engine.caution.unprepared")
    # After a long time away easy things may hurt too.
    away = made.day.reading.days_away is not None
    at_risk = [task for task in kept if task.strain != "none"] if away else straining
    yield from (Message(text) for text in sorted({stop_caution(task.family) for task in at_risk}))
