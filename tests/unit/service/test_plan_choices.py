"""What is chosen for a plan: laws of pins, of own words, and of what outlives a change of the routine."""

from datetime import date, timedelta
from random import Random
from typing import Any, get_args

import msgspec
from bagatelle.model.card import CardTask
from bagatelle.model.plan import PluginVersion
from bagatelle.model.vocabulary import Pin
from bagatelle.policy.table import Policy
from bagatelle_service.school.plan_choices import (
    OwnWords,
    PlanChoices,
    chosen_content,
    read_choices,
    without_gone_tasks,
    worded,
    write_choices,
)
from bagatelle_service.school.plan_versions import DueTask, LoadedVersions, PlanVersions, outdated_by
from bagatelle_service.school.routine_document import (
    RoutineContent,
    RoutineDocument,
    document_of,
    planning_request,
    tasks_of,
)
from hypothesis import given
from hypothesis import strategies as st

from tests.card_strategies import made_card
from tests.seeded import seeded
from tests.strategies import routines

DAY = date(2027, 3, 1)
PINS: st.SearchStrategy[Pin] = st.sampled_from(get_args(Pin))
WORDS = st.builds(
    OwnWords,
    title=st.none() | st.text("abc ", min_size=1, max_size=9),
    how=st.none() | st.text("abc ", min_size=1, max_size=9),
    done_when=st.none() | st.text("abc ", min_size=1, max_size=9),
)


@st.composite
def documents(draw: st.DrawFn) -> RoutineDocument:
    sent = draw(routines("piano"))
    if draw(st.booleans()):
        # Blocks that list no tasks, and tasks without a key of their own.
        sent["blocks"].append({"title": "Waltz", "minutes": 9})
        sent["blocks"].append({"title": "Waltz", "tasks": [{"title": "Waltz", "minutes": 5}]})
    return document_of(msgspec.convert({"instrument": "piano", "routine": sent}, RoutineContent))


@st.composite
def chosen(draw: st.DrawFn, *more: str) -> tuple[RoutineDocument, PlanChoices]:
    """A routine, and choices for some of its tasks, and for others that it has not."""
    document = draw(documents())
    keys = st.sampled_from([task.key for task in document.tasks] + list(more))
    choices = PlanChoices(
        pins=draw(st.dictionaries(keys, PINS, max_size=4)),
        share=draw(st.none() | st.sampled_from((0.1, 0.25, 0.5))),
        wording=draw(st.dictionaries(keys, WORDS, max_size=3)),
    )
    return document, choices


@given(documents())
def test_choosing_nothing_asks_the_same(document: RoutineDocument) -> None:
    assert planning_request(chosen_content(document, PlanChoices()), DAY) == planning_request(document, DAY)


@given(chosen())
def test_a_pin_changes_no_key_and_nothing_else_of_a_task(given: tuple[RoutineDocument, PlanChoices]) -> None:
    document, choices = given
    content = chosen_content(document, choices)
    again = document_of(content)
    assert [task.key for task in again.tasks] == [task.key for task in document.tasks]
    for (key, before), (_, after) in zip(tasks_of(document), tasks_of(again), strict=True):
        assert after.pin == choices.pins.get(key, before.pin)
        assert msgspec.structs.replace(after, pin="auto", id=None) == msgspec.structs.replace(
            before, pin="auto", id=None
        )
    assert content.policy.share == (document.policy.share if choices.share is None else choices.share)


@given(chosen("gone", "lost"))
def test_what_was_chosen_for_a_task_that_is_gone_is_dropped_once(
    given: tuple[RoutineDocument, PlanChoices],
) -> None:
    document, choices = given
    kept, dropped = without_gone_tasks(choices, document)
    keys = {task.key for task in document.tasks}
    assert set(dropped) == ({*choices.pins} | {*choices.wording}) - keys
    assert {*kept.pins, *kept.wording} <= keys
    assert kept.share == choices.share
    assert {name: choices.pins[name] for name in kept.pins} == kept.pins
    assert without_gone_tasks(kept, document) == (kept, ())


@given(chosen(), st.randoms(use_true_random=False))
def test_the_same_choices_are_the_same_text(
    given: tuple[RoutineDocument, PlanChoices], random: Random
) -> None:
    _, choices = given
    assert read_choices(write_choices(choices)) == choices

    def shuffled(mapping: dict[str, Any]) -> dict[str, Any]:
        return dict(random.sample(list(mapping.items()), len(mapping)))

    other = PlanChoices(pins=shuffled(choices.pins), share=choices.share, wording=shuffled(choices.wording))
    assert write_choices(other) == write_choices(choices)


@given(st.integers(0, 10_000), WORDS)
def test_own_words_change_words_alone(seed: int, words: OwnWords) -> None:
    card = made_card(seeded(f"card {seed}"))
    named = card.tasks[seed % len(card.tasks)].id
    after = worded(card, PlanChoices(wording={named: words}))
    assert msgspec.structs.replace(after, tasks=card.tasks) == card
    free = {"title", "what", "how", "how_each", "done_when", "done_when_each"}
    for old, new in zip(card.tasks, after.tasks, strict=True):
        fixed = set(CardTask.__struct_fields__) - (free if old.id == named else set())
        assert all(getattr(old, name) == getattr(new, name) for name in fixed)
        if old.id == named:
            assert new.title == (words.title or old.title)
            assert new.how == (words.how or old.how)
            assert new.done_when == (words.done_when or old.done_when)


LOADED = LoadedVersions(engine="1", policy="2", plugins={"a": PluginVersion(name="a", version="3", hash="4")})


@given(st.integers(-40, 40), st.integers(0, 60), st.integers(1, 60))
def test_a_date_is_later_then_near_then_past(due_in: int, days_after: int, near_days: int) -> None:
    """Near is from the day itself to `near_days` before it, as the policy has it (`Policy.near_days`)."""

    def state(days_left: int) -> Any:
        return "past" if days_left < 0 else "near" if days_left <= near_days else "later"

    due = DueTask(task="polka", due=DAY + timedelta(days=due_in), state=state(due_in))
    versions = PlanVersions(
        engine="1", policy="2", plugins=tuple(LOADED.plugins.values()), near_days=near_days, due=(due,)
    )
    assert outdated_by(versions, 1, 1, LOADED, DAY) == ()
    found = outdated_by(versions, 1, 1, LOADED, DAY + timedelta(days=days_after))
    now = state(due_in - days_after)
    assert [(each.reason, each.before, each.now) for each in found] == (
        [] if now == due.state else [("due", due.state, now)]
    )
    assert Policy().near_days == 14


def test_every_reason_is_said_at_once() -> None:
    versions = PlanVersions(
        engine="0",
        policy="0",
        plugins=(
            PluginVersion(name="a", version="3", hash="0"),
            PluginVersion(name="b", version="1", hash="1"),
        ),
    )
    found = outdated_by(versions, 1, 4, LOADED, DAY)
    assert [(each.reason, each.about, each.before, each.now) for each in found] == [
        ("routine", None, "1", "4"),
        ("engine", None, "0", "1"),
        ("policy", None, "0", "2"),
        ("plugin", "a", "3 0", "3 4"),
        ("plugin", "b", "1 1", None),
    ]
