"""Where the learner says how often, a share of the usual time holds that share of the usual rounds, one at least.

It goes round again only where what is in hand or due, as many of the longest as the day may hold things, would not
fill it.

Reckoned from the request alone, in fractions: the seconds of one round are those of the units in the answer.
"""

from collections import Counter
from fractions import Fraction

import pytest
from bagatelle.model.plan import Plan, TaskNumbers
from hypothesis import event, given

from tests.strategies import Sent, plan_of, plan_or_reject, requests
from tests.unit.engine.numbers import own_task, request


def tasks_of(sent: Sent) -> list[Sent]:
    return [task for block in sent["routine"]["blocks"] for task in block.get("tasks", ()) if "id" in task]


def is_counted(task: Sent) -> bool:
    return any(passage.get("passes", 1) > 1 for passage in task.get("passages", ()))


def numbered(sent: Sent) -> set[str]:
    """The tasks of the learner's own that say of a passage to play it twice or more, and name no chunk."""
    return {
        task["id"] for task in tasks_of(sent) if is_counted(task) and "smallest_chunk_seconds" not in task
    }


def rounds_to_fill(plan: Plan, sent: Sent) -> int:
    """With so many rounds, at most, what is in hand or due fills the day.

    One thing for each five minutes, two at least, and one that prepares; of a part of five minutes, that part of
    the next longest.
    """
    counted = {task["id"] for task in tasks_of(sent) if is_counted(task) or "exercise" in task}
    ready = [
        task
        for task in plan.tasks
        if task.available and (task.stage in {"refining", "maintaining"} or is_near(plan, task))
    ]
    for rounds in range(1, 1000):
        held = {
            task.task: (1 if task.strain == "high" else rounds) * sum(unit.seconds for unit in task.units)
            for task in ready
        }
        seconds = sorted(
            min(task.usual_seconds, held[task.task] if task.task in counted else task.largest_seconds)
            + task.set_up_seconds
            for task in ready
        )
        if of_the_longest(seconds[::-1], plan) >= plan.budget_seconds:
            return rounds
    return 1000


def of_the_longest(longest: list[int], plan: Plan) -> Fraction:
    things = 1 + max(Fraction(2), Fraction(plan.budget_seconds, plan.policy.seconds_per_task))
    whole = int(things)
    return Fraction(sum(longest[:whole])) + (things - whole) * sum(longest[whole : whole + 1])


def is_near(plan: Plan, task: TaskNumbers) -> bool:
    return task.due_days is not None and 0 <= task.due_days <= plan.policy.near_days


@given(requests())
def test_no_passage_comes_round_more_often_than_its_share(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for task in plan.tasks:
        # What is gone through in the head is held as work in the head is.
        if task.task in numbered(sent) and task.strain != "none":
            of_a_day = Fraction(task.usual_seconds, sum(unit.seconds for unit in task.units))
            share = int(of_a_day * Fraction(plan.budget_seconds, plan.usual_seconds))
            rounds = max(1, share, 1 if task.strain == "high" else rounds_to_fill(plan, sent))
            played = Counter(unit for step in plan.steps if step.task == task.task for unit in step.units)
            assert all(number <= rounds for number in played.values())
            event(f"{'played' if played else 'left out'}, {min(rounds, 3)} rounds")


def rounds_of(plan: Plan, task: str) -> int:
    (numbers,) = (each for each in plan.tasks if each.task == task)
    return numbers.largest_seconds // sum(unit.seconds for unit in numbers.units)


def twice(name: str, seconds: int, **fields: int) -> Sent:
    passage = {"id": "p1", "label": "line 1", "seconds": seconds // 2, "passes": 2}
    return own_task(name, passages=[passage], **fields)


@pytest.mark.parametrize(("minutes", "rounds"), [(5, 1), (10, 1), (16, 2), (20, 2)])
def test_half_of_the_time_holds_half_of_the_rounds(minutes: int, rounds: int) -> None:
    """Five rounds of four minutes are the usual twenty; the usual day has forty."""
    sent = request(twice("waltz", 240), own_task("scales", 60), circumstances={"minutes": minutes})
    assert rounds_of(plan_of(sent), "waltz") == max(1, 5 * minutes // 40) == rounds


def test_a_smallest_chunk_that_the_learner_names_is_held_by_as_many_rounds_as_it_takes() -> None:
    sent = request(twice("waltz", 100, smallest_chunk_seconds=250), own_task("scales", 60))
    assert rounds_of(plan_of(sent), "waltz") == 3


def test_what_is_counted_once_through_goes_round_freely() -> None:
    sent = request(own_task("waltz", 60), own_task("scales", 60))
    assert rounds_of(plan_of(sent), "waltz") == 20


@pytest.mark.parametrize("settings", [{"keys": ["C", "G"]}, {"keys": ["C", "G"], "passes": 4}])
def test_the_passes_of_an_exercise_count_by_default_or_by_its_settings(settings: Sent) -> None:
    scales: Sent = {"id": "majors", "exercise": "piano.major-scale", "minutes": 20, "settings": settings}
    plan = plan_of(request(scales, own_task("waltz", 60), own_task("song", 60), instrument="piano"))
    assert rounds_of(plan, "majors") == 2


def test_the_time_goes_to_other_things_first() -> None:
    """Two waltzes of three minutes once round, not one of them three times, where they fill the day."""
    pieces = [twice(name, 180) for name in ("waltz", "song", "march")]
    two, three = (plan_of(request(*tasks, circumstances={"minutes": 8})) for tasks in (pieces[:2], pieces))
    assert rounds_of(two, "waltz") == rounds_of(two, "song") == 2
    assert rounds_of(three, "waltz") == 1


def test_what_strains_most_never_goes_round_again() -> None:
    pieces = [twice("octaves", 180) | {"strain": "high"}, twice("song", 180)]
    plan = plan_of(request(*pieces, circumstances={"minutes": 10}))
    assert (rounds_of(plan, "octaves"), rounds_of(plan, "song")) == (1, 2)


def test_what_is_in_hand_goes_round_again_before_a_day_stands_empty() -> None:
    """What is new is not counted on: a day is filled with what is in hand."""
    new = own_task("new-song", 300, stage="new")
    beside_new, beside_known = (
        plan_of(request(twice("waltz", 180), song, circumstances={"minutes": 8}))
        for song in (new, new | {"stage": "maintaining"})
    )
    assert rounds_of(beside_new, "waltz") == 3
    assert rounds_of(beside_known, "waltz") == 1


def test_as_many_of_the_longest_as_the_day_holds_things_have_to_fill_it() -> None:
    """Twelve things of three minutes, each a minute once round: of twelve minutes not one minute each."""
    sheet = [twice(f"line-{number}", 60) | {"minutes": 3} for number in range(12)]
    plan = plan_of(request(*sheet, circumstances={"minutes": 12}))
    played = {step.task for step in plan.steps if step.task is not None}
    assert len(played) <= 4
    assert all(rounds_of(plan, task) >= 2 for task in played)


def test_no_more_things_than_the_usual_day_has_in_as_long() -> None:
    """Two of two minutes beside six of six: the mean counts, not the shortest."""
    short = [own_task(f"tune-{number}", 120) | {"minutes": 2} for number in range(6)]
    long = [own_task(f"study-{number}", 120) | {"minutes": 6} for number in range(6)]
    plan = plan_of(request(*short, *long, circumstances={"minutes": 12}))
    rule = next(rule for rule in plan.rules if isinstance(rule.limit, int))
    assert rule.limit == 2
