"""Ways to falsify what an answer says of its own worth: certificate, alternatives, ladder. See `tampering`."""

from typing import Final

from tests.unit.verify.tampering import JsonPlan, Tampering, caught_by, played, things

TAMPERINGS_OF_RESULTS: Final[dict[str, tuple[Tampering, str]]] = {}


# Certificate and alternatives ---------------------------------------------------------------------------


@caught_by("certificate.worth", TAMPERINGS_OF_RESULTS)
def add_to_the_worth(plan: JsonPlan) -> bool:
    plan["certificate"]["worth"] += 1
    return True


@caught_by("certificate.bound", TAMPERINGS_OF_RESULTS)
def lower_the_bound(plan: JsonPlan) -> bool:
    plan["certificate"]["bound"] = plan["certificate"]["worth"] - 1
    return True


@caught_by("certificate.gap", TAMPERINGS_OF_RESULTS)
def narrow_the_gap(plan: JsonPlan) -> bool:
    plan["certificate"]["gap"] += 0.01
    return True


@caught_by("certificate.proved", TAMPERINGS_OF_RESULTS)
def claim_a_proof(plan: JsonPlan) -> bool:
    plan["certificate"] |= {"bound": plan["certificate"]["worth"] + 5, "proved": True}
    return True


@caught_by("alternatives.toss-up", TAMPERINGS_OF_RESULTS)
def turn_the_toss_up_round(plan: JsonPlan) -> bool:
    plan["toss_up"] = not plan["toss_up"]
    return True


@caught_by("alternatives.worth", TAMPERINGS_OF_RESULTS)
def praise_an_alternative(plan: JsonPlan) -> bool:
    for alternative in plan["alternatives"][:1]:
        alternative["worth"] += 1
    return bool(plan["alternatives"])


@caught_by("alternatives.dose", TAMPERINGS_OF_RESULTS)
def break_an_alternatives_dose(plan: JsonPlan) -> bool:
    for alternative in plan["alternatives"][:1]:
        alternative["doses"][0]["seconds"] -= 1
    return bool(plan["alternatives"])


@caught_by("alternatives.same-set", TAMPERINGS_OF_RESULTS)
def offer_the_same_set(plan: JsonPlan) -> bool:
    fewer = [each for each in plan["alternatives"] if each["why"] == "another set"]
    seconds_by_task: dict[str, int] = {}
    for step in played(plan):
        seconds_by_task[step["task"]] = seconds_by_task.get(step["task"], 0) + step["seconds"]
    for alternative in fewer:
        alternative["doses"] = [
            {"task": task, "seconds": seconds} for task, seconds in seconds_by_task.items()
        ]
    return bool(fewer)


@caught_by("alternatives.not-fewer", TAMPERINGS_OF_RESULTS)
def offer_as_many_tasks(plan: JsonPlan) -> bool:
    others = [each for each in plan["alternatives"] if each["why"] == "another set"]
    fewer = [each for each in plan["alternatives"] if each["why"] == "fewer things"]
    kept = {step["task"] for step in played(plan)}
    for alternative in fewer:
        plan["alternatives"].remove(alternative)
    for alternative in others:
        alternative["why"] = "fewer things"
    return any(
        things(plan, {dose["task"] for dose in alternative["doses"]}) >= things(plan, kept)
        for alternative in others
    )


# Ladder -------------------------------------------------------------------------------------------------


@caught_by("ladder.cost", TAMPERINGS_OF_RESULTS)
def make_a_rung_cheaper(plan: JsonPlan) -> bool:
    plan["ladder"]["rungs"][0]["cost_seconds"] -= 1
    return True


@caught_by("ladder.rung", TAMPERINGS_OF_RESULTS)
def lift_by_half_a_unit(plan: JsonPlan) -> bool:
    plan["ladder"]["rungs"][-1]["to_seconds"] -= 1
    return True


@caught_by("ladder.unfinished", TAMPERINGS_OF_RESULTS)
def saw_off_the_last_rung(plan: JsonPlan) -> bool:
    return bool(plan["ladder"]["rungs"].pop())


@caught_by("ladder.prepared-worth", TAMPERINGS_OF_RESULTS)
def praise_a_prepared_plan(plan: JsonPlan) -> bool:
    for prepared in plan["ladder"]["prepared"][:1]:
        prepared["worth"] += 1
    return bool(plan["ladder"]["prepared"])


@caught_by("ladder.dose", TAMPERINGS_OF_RESULTS)
def break_a_prepared_dose(plan: JsonPlan) -> bool:
    for prepared in plan["ladder"]["prepared"][:1]:
        prepared["doses"][0]["seconds"] -= 1
    return bool(plan["ladder"]["prepared"])


@caught_by("ladder.prepared-order", TAMPERINGS_OF_RESULTS)
def prepare_backwards(plan: JsonPlan) -> bool:
    plan["ladder"]["prepared"].reverse()
    return len(plan["ladder"]["prepared"]) > 1


@caught_by("ladder.walk", TAMPERINGS_OF_RESULTS)
def praise_the_walk(plan: JsonPlan) -> bool:
    for minute in plan["ladder"]["minutes"][3:4]:
        minute["worth"] -= 1
    return len(plan["ladder"]["minutes"]) > 3


@caught_by("ladder.best", TAMPERINGS_OF_RESULTS)
def flatter_the_ladder(plan: JsonPlan) -> bool:
    """Claim a lower optimum at the first minute, where it is looked for again."""
    for minute in plan["ladder"]["minutes"][:1]:
        minute["best"] = minute["worth"] - 1
    return bool(plan["ladder"]["minutes"])


@caught_by("ladder.best", TAMPERINGS_OF_RESULTS)
def call_the_ladder_worse_than_it_is(plan: JsonPlan) -> bool:
    for minute in plan["ladder"]["minutes"][-1:]:
        minute["best"] += 1
    return any(minute["proved"] for minute in plan["ladder"]["minutes"][-1:])


@caught_by("ladder.minutes", TAMPERINGS_OF_RESULTS)
def leave_a_minute_out(plan: JsonPlan) -> bool:
    return len(plan["ladder"]["minutes"]) > 2 and bool(plan["ladder"]["minutes"].pop(1))


@caught_by("ladder.lowest-ratio", TAMPERINGS_OF_RESULTS)
def raise_the_lowest_ratio(plan: JsonPlan) -> bool:
    if plan["ladder"]["lowest_ratio"] is None:
        return False
    plan["ladder"]["lowest_ratio"] += 0.0001
    return True


@caught_by("ladder.mean-ratio", TAMPERINGS_OF_RESULTS)
def raise_the_mean_ratio(plan: JsonPlan) -> bool:
    if plan["ladder"]["mean_ratio"] is None:
        return False
    plan["ladder"]["mean_ratio"] += 0.0002
    return True
