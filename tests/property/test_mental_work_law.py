"""What is done in the head is held to twenty minutes a day, in the plan and all the way up its ladder.

About 20 minutes is the best total length of mental practice: Driskell, Copper and Moran 1994 (from memory).
"""

from typing import Any

from bagatelle.model.exercise import SoftForm
from bagatelle.model.plan import Plan
from hypothesis import assume, event, example, given, settings
from hypothesis import strategies as st

from tests.strategies import Sent, instruments, plan_of, plan_or_reject, requests

TWENTY_MINUTES = 1200
FIVE_MINUTES = 300
TWO_MINUTES = 120
STUDIED = "in the head, as the day asks"
SOFT = "in its soft form, as the day asks"
RESTS_THE_BODY = SoftForm(strain="none", loudness="silent", needs_instrument=False)
ONE_LONG_PIECE: Sent = {
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {
                        "id": "sonata",
                        "title": "Sonata",
                        "minutes": 60,
                        "passages": [{"id": "a", "label": "all of it", "seconds": 1500, "passes": 1}],
                    }
                ],
            }
        ]
    },
    "circumstances": {"instrument_at_hand": False, "minutes": 30},
}
DAYS = ({"instrument_at_hand": False}, {"soreness": True}, {"quiet": True, "instrument_at_hand": False})


@st.composite
def studied_requests(draw: st.DrawFn) -> Sent:
    """Own pieces in passages of up to twenty-five minutes, all done in the head."""
    names = [f"t{number}" for number in range(draw(st.integers(1, 8)))]
    return {
        "date": "2027-03-01",
        "routine": {"blocks": [{"title": "Evening", "tasks": [draw(pieces(name)) for name in names]}]},
        "circumstances": draw(st.sampled_from(DAYS)),
        "policy": draw(st.sampled_from(({}, {}, {"seconds_per_task": 120}, {"seconds_per_task": 900}))),
    }


@st.composite
def pieces(draw: st.DrawFn, name: str) -> Sent:
    longest = draw(st.sampled_from((60, 400, 1500)))
    lengths = draw(st.lists(st.integers(20, longest), min_size=1, max_size=4))
    return {
        "id": name,
        "title": f"Piece {name}",
        "area": draw(st.sampled_from(("repertoire", "repertoire", "theory", "ear"))),
        "stage": draw(st.sampled_from(("new", "learning", "refining", "maintaining"))),
        "minutes": draw(st.integers(2, 45)),
        "set_up_seconds": draw(st.sampled_from((0, 30, 90))),
        "pin": draw(st.sampled_from(("auto", "auto", "auto", "always", "more", "less"))),
        "due": draw(st.sampled_from(("2027-03-05", "2027-06-01"))),
        "passages": [
            {"id": f"p{number}", "label": "page", "seconds": seconds, "passes": 1}
            for number, seconds in enumerate(lengths)
        ],
        "manner": "slowly",
        "done_when": "twice clean",
    }


def with_part_of_half(sent: Sent, part: float) -> Sent:
    """A day of so much of the half of the usual time, which is the most that counts as short."""
    usual_minutes = sum(task["minutes"] for task in sent["routine"]["blocks"][0]["tasks"])
    minutes = max(part * usual_minutes / 2, 1)
    return sent | {"circumstances": sent["circumstances"] | {"minutes": minutes}}


def softly_in_the_head(sent: Sent) -> set[str]:
    """Tasks whose plugin has a soft form of them that no hand, lip or voice does."""
    tasks = [task for block in sent["routine"]["blocks"] for task in block.get("tasks", ())]
    return {
        task["id"]
        for task in tasks
        if "exercise" in task and instruments().exercise(task["exercise"]).soft_form == RESTS_THE_BODY
    }


def studied(plan: Plan, sent: Sent) -> dict[str, list[int]]:
    """Seconds of every step that is done in the head, by task."""
    found: dict[str, list[int]] = {}
    soft = softly_in_the_head(sent)
    for step in plan.steps:
        reasons = {reason.because for reason in step.reasons}
        if step.task is not None and (STUDIED in reasons or (SOFT in reasons and step.task in soft)):
            found.setdefault(step.task, []).append(step.seconds)
    return found


def held(plan: Plan, sent: Sent) -> None:
    seconds = studied(plan, sent)
    if sum(map(sum, seconds.values())) > TWENTY_MINUTES:
        event("one long piece")
        (only,) = seconds
        assert [len(step.units) for step in plan.steps if step.task == only] == [1]


@given(studied_requests() | requests())
@example(ONE_LONG_PIECE)
@settings(max_examples=100)
def test_no_plan_holds_more(sent: Sent) -> None:
    held(plan_or_reject(sent), sent)


@given(studied_requests(), st.lists(st.integers(2, 40), min_size=2, max_size=4))
@settings(max_examples=50)
def test_no_day_of_several_windows_holds_more(sent: Sent, windows: list[int]) -> None:
    day = sent["circumstances"] | {"windows": [{"minutes": minutes} for minutes in windows]}
    held(plan_or_reject(sent | {"circumstances": day}), sent)


@given(studied_requests())
@settings(max_examples=50)
def test_nor_does_the_whole_ladder(sent: Sent) -> None:
    rungs = {rung.task: rung.to_seconds for rung in plan_or_reject(sent).ladder.rungs}
    assert len(rungs) == 1 or sum(rungs.values()) <= TWENTY_MINUTES


@given(studied_requests())
@settings(max_examples=50)
def test_with_little_focus_a_thing_gets_two_minutes_or_one_piece(sent: Sent) -> None:
    day = sent["circumstances"] | {"focus": "low"}
    plan = plan_or_reject(sent | {"circumstances": day})
    for task, seconds in studied(plan, sent).items():
        units = [unit for step in plan.steps if step.task == task for unit in step.units]
        event("one piece" if len(units) == 1 else "more")
        assert sum(seconds) <= TWO_MINUTES or len(units) == 1


@given(studied_requests(), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=50)
def test_what_a_task_may_get_does_not_hang_on_the_minutes(sent: Sent, first: float, second: float) -> None:
    def allowed(part: float) -> Any:
        plan = plan_or_reject(with_part_of_half(sent, part))
        return [(task.task, task.available, task.largest_seconds) for task in plan.tasks]

    assert allowed(first) == allowed(second)


@given(studied_requests(), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=200)
def test_more_minutes_are_worth_as_much_or_more(sent: Sent, first: float, second: float) -> None:
    short, long = (plan_or_reject(with_part_of_half(sent, part)) for part in sorted((first, second)))
    # A longer day may ask for longer pieces, and then be worth less for that.
    floors = [[task.floor_seconds for task in plan.tasks] for plan in (short, long)]
    assume(all(more <= less for less, more in zip(*floors, strict=True)))
    duties = [[(rule.rule, rule.kept) for rule in plan.rules] for plan in (short, long)]
    unmet = [
        [finding.task for finding in plan.findings if finding.question == "pin"] for plan in (short, long)
    ]
    music = [plan.budget_seconds >= plan.policy.music_from_seconds for plan in (short, long)]
    assume(short.floor_mode == long.floor_mode)
    assume(duties[0] == duties[1] and unmet[0] == unmet[1] and music[0] == music[1])
    event("longer" if short.budget_seconds < long.budget_seconds else "as long")
    assert short.certificate.worth <= long.certificate.worth


@given(studied_requests())
@settings(max_examples=50)
def test_what_is_quickest_to_do_stays_where_nothing_else_fits_five_minutes(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    least = min(task.set_up_seconds + task.units[0].seconds for task in plan.tasks)
    quickest = min(task.set_up_seconds + task.units[0].seconds for task in plan.tasks if task.available)
    assert quickest <= max(least, FIVE_MINUTES)


def test_a_day_without_the_instrument_goes_to_three_pieces() -> None:
    # 20 minutes hold 3 things, one for each six minutes of a budget.
    page = {"id": "p", "label": "the page", "seconds": 60, "passes": 10}
    tasks = [
        {"id": name, "title": name, "minutes": 30, "area": "repertoire", "passages": [page]}
        for name in "abcdefg"
    ]
    sent: Sent = {
        "routine": {"blocks": [{"title": "Evening", "tasks": tasks}]},
        "circumstances": {"instrument_at_hand": False, "minutes": 60},
    }
    plan = plan_of(sent)
    assert studied(plan, sent) == {"a": [600], "b": [300], "c": [300]}
    reasons = {one.task: [reason.because for reason in one.reasons] for one in plan.left_out}
    for name in "defg":
        assert "of what can be done in the head today, others come first" in reasons[name]
