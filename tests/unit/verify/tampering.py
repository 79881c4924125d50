"""Ways to falsify an answer, each of which changes one thing.

A tampering gets the plan as plain dictionaries and lists, changes it in place, and says whether it could: there
is no rest to take away from a plan without rests. `TAMPERINGS` names the fault that each has to be caught by.
"""

from collections.abc import Callable
from typing import Any, TypeAlias

JsonPlan: TypeAlias = dict[str, Any]
Tampering: TypeAlias = Callable[[JsonPlan], bool]

TAMPERINGS: dict[str, tuple[Tampering, str]] = {}


def caught_by(
    code: str, tamperings: dict[str, tuple[Tampering, str]] = TAMPERINGS
) -> Callable[[Tampering], Tampering]:
    """Enter a tampering under the fault that it has to be caught by."""

    def enter(tampering: Tampering) -> Tampering:
        tamperings[tampering.__name__] = (tampering, code)
        return tampering

    return enter


def played(plan: JsonPlan) -> list[JsonPlan]:
    return [step for step in plan["steps"] if step["kind"] == "task"]


def _numbers(plan: JsonPlan, task: str) -> JsonPlan:
    return next(numbers for numbers in plan["tasks"] if numbers["task"] == task)


def _limit_report(plan: JsonPlan) -> JsonPlan:
    return next(report for report in plan["rules"] if report["rule"] == "task-count")


# Bounds -------------------------------------------------------------------------------------------------


@caught_by("bounds.curve")
def bend_the_curve_straight(plan: JsonPlan) -> bool:
    plan["policy"]["curve"] = 0.0
    return True


@caught_by("bounds.seconds-per-task")
def allow_tasks_without_end(plan: JsonPlan) -> bool:
    plan["policy"]["seconds_per_task"] = 0
    return True


@caught_by("bounds.largest")
def allow_a_dose_without_end(plan: JsonPlan) -> bool:
    plan["tasks"][0]["largest_seconds"] = 10**12
    return True


@caught_by("bounds.seconds")
def open_a_window_without_end(plan: JsonPlan) -> bool:
    plan["windows"][0]["seconds"] = 10**15
    return True


@caught_by("bounds.no-window")
def close_all_windows(plan: JsonPlan) -> bool:
    plan["windows"] = []
    return True


@caught_by("bounds.no-unit")
def take_all_units_away(plan: JsonPlan) -> bool:
    plan["tasks"][0]["units"] = []
    return True


# Windows ------------------------------------------------------------------------------------------------


@caught_by("windows.overfull")
def shorten_a_window(plan: JsonPlan) -> bool:
    taken = sum(step["seconds"] + step["set_up_seconds"] for step in plan["steps"] if step["window"] == 0)
    plan["windows"][0]["seconds"] = taken - 1
    return bool(taken > 1)


@caught_by("windows.over-budget")
def shrink_the_budget(plan: JsonPlan) -> bool:
    plan["budget_seconds"] = plan["planned_seconds"] - 1
    return True


@caught_by("windows.slack-seconds")
def claim_more_free_time(plan: JsonPlan) -> bool:
    plan["windows"][-1]["slack_seconds"] += 60
    return True


@caught_by("windows.slack-seconds")
def fill_a_window_that_is_left_free(plan: JsonPlan) -> bool:
    free = plan["windows"][0]["slack_seconds"]
    taken = [step["seconds"] + step["set_up_seconds"] for step in plan["steps"] if step["window"] == 0]
    plan["windows"][0]["slack_seconds"] = 0
    plan["windows"][0]["seconds"] = sum(taken) + free // 2
    return bool(taken and free)


@caught_by("bounds.slack")
def leave_more_than_half_free(plan: JsonPlan) -> bool:
    plan["policy"]["slack_share"] = 0.6
    return True


@caught_by("windows.rest-seconds")
def claim_more_rest(plan: JsonPlan) -> bool:
    plan["windows"][-1]["rest_seconds"] += 60
    return True


@caught_by("windows.stretch")
def take_a_rest_away(plan: JsonPlan) -> bool:
    rests = [step for step in plan["steps"] if step["kind"] == "rest"]
    for rest in rests:
        plan["steps"].remove(rest)
    # Half an hour needs no rest, however long the window is.
    return bool(rests and plan["planned_seconds"] > 1800)


@caught_by("windows.rest-length")
def shorten_a_rest(plan: JsonPlan) -> bool:
    rests = [step for step in plan["steps"] if step["kind"] == "rest"]
    for rest in rests[:1]:
        rest["seconds"] -= 30
    return bool(rests)


@caught_by("windows.order")
def mix_up_the_windows(plan: JsonPlan) -> bool:
    plan["steps"].reverse()
    return len({step["window"] for step in plan["steps"]}) > 1


@caught_by("windows.unknown")
def play_in_a_window_that_is_not_there(plan: JsonPlan) -> bool:
    plan["steps"][-1]["window"] = len(plan["windows"])
    return True


# Steps --------------------------------------------------------------------------------------------------


@caught_by("steps.seconds")
def play_a_second_longer(plan: JsonPlan) -> bool:
    played(plan)[0]["seconds"] += 1
    return True


@caught_by("steps.own-order")
def play_units_in_another_order(plan: JsonPlan) -> bool:
    for step in played(plan):
        if step["units"] != step["units"][::-1]:
            step["units"].reverse()
            return True
    return False


@caught_by("steps.rotation")
def play_one_unit_in_place_of_another(plan: JsonPlan) -> bool:
    for step in played(plan):
        others = {unit["id"] for unit in _numbers(plan, step["task"])["units"]} - {step["units"][0]}
        if others:
            step["units"][0] = min(others)
            return True
    return False


@caught_by("numbers.places")
def give_two_units_one_place(plan: JsonPlan) -> bool:
    for task in plan["tasks"]:
        if len(task["units"]) > 1:
            task["units"][0]["place"] = task["units"][1]["place"]
            return True
    return False


@caught_by("steps.units")
def play_an_unknown_unit(plan: JsonPlan) -> bool:
    played(plan)[0]["units"][0] += "-other"
    return True


@caught_by("steps.set-up")
def forget_a_set_up(plan: JsonPlan) -> bool:
    with_set_up = [step for step in played(plan) if step["set_up_seconds"]]
    for step in with_set_up[:1]:
        step["set_up_seconds"] = 0
    return bool(with_set_up)


@caught_by("steps.continues")
def claim_to_continue(plan: JsonPlan) -> bool:
    played(plan)[0]["continues"] = True
    return True


@caught_by("steps.text")
def leave_a_text_empty(plan: JsonPlan) -> bool:
    played(plan)[-1]["done_when"] = " "
    return True


@caught_by("steps.unavailable")
def play_what_is_not_available(plan: JsonPlan) -> bool:
    _numbers(plan, played(plan)[0]["task"])["available"] = False
    return True


@caught_by("steps.unknown-task")
def play_an_unknown_task(plan: JsonPlan) -> bool:
    played(plan)[0]["task"] = "nobody-knows"
    return True


@caught_by("steps.block")
def move_a_step_to_another_block(plan: JsonPlan) -> bool:
    played(plan)[0]["block"] = "elsewhere"
    return True


@caught_by("steps.twice")
def use_a_step_id_twice(plan: JsonPlan) -> bool:
    plan["steps"][-1]["id"] = plan["steps"][0]["id"]
    return len(plan["steps"]) > 1


@caught_by("steps.left-out")
def hide_what_is_left_out(plan: JsonPlan) -> bool:
    return bool(plan["left_out"]) and bool(plan["left_out"].pop())


@caught_by("steps.left-out")
def call_a_kept_task_left_out(plan: JsonPlan) -> bool:
    plan["left_out"].append({"task": played(plan)[0]["task"], "reasons": []})
    return True


@caught_by("steps.chunk")
def make_a_visit_too_small(plan: JsonPlan) -> bool:
    """Cut a visit down to its first unit."""
    for step in played(plan):
        numbers = _numbers(plan, step["task"])
        first = numbers["units"][0]
        if len(step["units"]) > 1 and first["seconds"] < numbers["smallest_chunk_seconds"]:
            step["units"] = step["units"][:1]
            step["seconds"] = first["seconds"]
            return bool(plan["floor_mode"] != "unit" and not step["continues"])
    return False


# Doses and numbers --------------------------------------------------------------------------------------


@caught_by("doses.floor")
def play_less_than_the_floor(plan: JsonPlan) -> bool:
    for step in played(plan):
        numbers = _numbers(plan, step["task"])
        lone = sum(other["task"] == step["task"] for other in played(plan)) == 1
        if lone and numbers["floor_seconds"] == step["seconds"] and len(step["units"]) > 1:
            lengths = {unit["id"]: unit["seconds"] for unit in numbers["units"]}
            step["seconds"] -= lengths[step["units"].pop()]
            return True
    return False


@caught_by("doses.largest")
def cap_a_task_below_its_dose(plan: JsonPlan) -> bool:
    step = max(played(plan), key=lambda each: len(each["units"]))
    _numbers(plan, step["task"])["largest_seconds"] = step["seconds"] - 1
    return len(step["units"]) > 1


@caught_by("numbers.weight")
def raise_a_weight(plan: JsonPlan) -> bool:
    plan["tasks"][0]["weight"] += 0.01
    return True


@caught_by("numbers.chunk")
def break_a_chunk(plan: JsonPlan) -> bool:
    numbers = plan["tasks"][0]
    numbers["smallest_chunk_seconds"] += 1
    return all(unit["seconds"] > 1 for unit in numbers["units"])


@caught_by("numbers.floor")
def lower_a_floor(plan: JsonPlan) -> bool:
    plan["tasks"][-1]["floor_seconds"] -= 1
    return True


@caught_by("numbers.usual")
def stretch_the_usual_time(plan: JsonPlan) -> bool:
    plan["usual_seconds"] += 60
    return True


@caught_by("numbers.planned")
def count_a_second_more(plan: JsonPlan) -> bool:
    plan["planned_seconds"] += 1
    return True


@caught_by("numbers.share")
def round_the_share_up(plan: JsonPlan) -> bool:
    plan["share"] += 0.001
    return True


@caught_by("numbers.prepares")
def let_something_else_prepare(plan: JsonPlan) -> bool:
    others = [numbers for numbers in plan["tasks"] if not numbers["prepares"]]
    for numbers in others[:1]:
        numbers["prepares"] = True
    return bool(others)


@caught_by("numbers.music")
def call_something_music(plan: JsonPlan) -> bool:
    plan["tasks"][0]["music"] = not plan["tasks"][0]["music"]
    return True


@caught_by("numbers.short-floor")
def spare_a_task_its_floor(plan: JsonPlan) -> bool:
    plan["tasks"][0]["short_floor"] = not plan["tasks"][0]["short_floor"]
    return True


@caught_by("numbers.music-seconds")
def play_faster_than_the_clock(plan: JsonPlan) -> bool:
    unit = plan["tasks"][0]["units"][0]
    unit["music_seconds"] = unit["seconds"] + 0.5
    return True


@caught_by("numbers.never")
def pin_a_planned_task_never(plan: JsonPlan) -> bool:
    _numbers(plan, played(plan)[0]["task"])["pin"] = "never"
    return True


# Rules and order ----------------------------------------------------------------------------------------


@caught_by("rules.kept")
def deny_that_there_is_music(plan: JsonPlan) -> bool:
    report = next(report for report in plan["rules"] if report["rule"] == "music-in-hand")
    report["kept"] = not report["kept"]
    return True


@caught_by("rules.kept")
def deny_a_warm_up(plan: JsonPlan) -> bool:
    report = next(report for report in plan["rules"] if report["rule"] == "warm-up-before-strain")
    report["kept"] = not report["kept"]
    return True


@caught_by("rules.gave-way")
def give_up_the_own_warm_up(plan: JsonPlan) -> bool:
    report = next(report for report in plan["rules"] if report["rule"] == "own-warm-up-first")
    first = plan["steps"][0]
    opens = (
        report["kept"] and _numbers(plan, first["task"])["area"] == "warm-up" and len(plan["windows"]) == 1
    )
    others = [step for step in played(plan) if step["task"] != first["task"]]
    if not opens or not others or plan["budget_seconds"] < plan["policy"]["own_warm_up_from_seconds"]:
        return False
    if _numbers(plan, first["task"])["stand_in"] or _numbers(plan, first["task"])["pin"] == "always":
        return False
    report["kept"] = False
    plan["steps"] = others
    return True


@caught_by("rules.only-a-warm-up")
def call_all_that_is_played_a_warm_up(plan: JsonPlan) -> bool:
    for step in played(plan):
        _numbers(plan, step["task"])["area"] = "warm-up"
    return len(plan["windows"]) == 1


@caught_by("ladder.only-a-warm-up")
def call_all_of_a_prepared_plan_a_warm_up(plan: JsonPlan) -> bool:
    for dose in plan["ladder"]["prepared"][0]["doses"]:
        _numbers(plan, dose["task"])["area"] = "warm-up"
    return True


@caught_by("rules.limit")
def allow_one_task_more(plan: JsonPlan) -> bool:
    _limit_report(plan)["limit"] += 1
    return len(plan["windows"]) == 1


@caught_by("rules.too-many")
def allow_fewer_tasks(plan: JsonPlan) -> bool:
    _limit_report(plan)["limit"] = things(plan, {step["task"] for step in played(plan)}) - 1
    return True


def things(plan: JsonPlan, tasks: set[str]) -> int:
    """How many tasks count: one that prepares comes on top."""
    return len(tasks) - any(task["prepares"] and task["task"] in tasks for task in plan["tasks"])


@caught_by("rules.reports")
def say_nothing_of_a_rule(plan: JsonPlan) -> bool:
    return bool(plan["rules"].pop(0))


@caught_by("rules.because")
def give_no_reason(plan: JsonPlan) -> bool:
    plan["rules"][0]["because"] = ""
    return True


@caught_by("rules.floor-mode")
def let_the_floors_fall(plan: JsonPlan) -> bool:
    plan["floor_mode"] = "chunk" if plan["floor_mode"] == "usual" else "usual"
    return len(plan["windows"]) == 1


@caught_by("order.strain")
def open_with_what_strains(plan: JsonPlan) -> bool:
    steps = plan["steps"]
    strains = [_numbers(plan, step["task"])["strain"] if step["task"] else None for step in steps]
    if (
        len(plan["windows"]) > 1
        or strains[-1] not in {"moderate", "high"}
        or strains[0] not in {"none", "low"}
    ):
        return False
    steps.insert(0, steps.pop())
    return True


@caught_by("order.strain")
def call_what_is_played_before_others_at_rest(plan: JsonPlan) -> bool:
    steps = played(plan)
    if len(plan["windows"]) > 1 or len(steps) < 3 or steps[1]["task"] == steps[2]["task"]:
        return False
    _numbers(plan, steps[1]["task"])["at_rest"] = True
    return True


@caught_by("steps.parts-left")
def hide_a_part_that_is_left(plan: JsonPlan) -> bool:
    return bool(plan["parts_left"]) and bool(plan["parts_left"].pop())


@caught_by("steps.parts-left")
def call_a_played_part_left(plan: JsonPlan) -> bool:
    step = played(plan)[0]
    plan["parts_left"] = [{"task": step["task"], "units": step["units"][:1], "message": "left"}]
    return True
