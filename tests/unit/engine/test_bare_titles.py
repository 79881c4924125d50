"""What titles and minutes alone are read as: the area, and the smallest piece that is worth doing."""

import pytest
from bagatelle.engine.own_task import likely_area

from tests.strategies import plan_of


@pytest.mark.parametrize(
    ("title", "area"),
    [
        ("Tuning and finger stretches", "warm-up"),
        ("Slide positions", "technique"),
        ("Study no. 4", "technique"),
        ("Étude", "technique"),
        ("Score study", "theory"),
        ("Long tones", "tone"),
        ("Sonata", "repertoire"),
        # A word counts from its beginning: these are pieces.
        ("The exposition", "repertoire"),
        ("Composition no. 3", "repertoire"),
        ("Stone flower", "repertoire"),
        ("Benjamin's tune", "repertoire"),
    ],
)
def test_a_title_gives_its_area_away(title: str, area: str) -> None:
    assert likely_area(title) == area


@pytest.mark.parametrize(
    ("title", "minutes", "chunk_seconds"),
    [
        ("Warm-up", 10, 120),  # a minute or two is worth doing
        ("Sonata", 20, 300),  # five minutes, in sections
        ("Sonata", 6, 180),  # of a short thing half
        ("Sonata", 1.5, 60),  # and never less than a minute
        ("Sonata", 0.5, 30),
    ],
)
def test_the_smallest_piece_that_is_worth_doing(title: str, minutes: float, chunk_seconds: int) -> None:
    blocks = [{"title": title, "minutes": minutes}, {"title": "Nocturne", "minutes": 60}]
    plan = plan_of({"routine": {"blocks": blocks}})
    (task,) = [task for task in plan.tasks if task.title == title]
    assert task.smallest_chunk_seconds == chunk_seconds


@pytest.mark.parametrize(
    ("title", "stage"),
    [
        ("New song from the list", "new"),
        ("A new piece", "new"),
        ("Something new", "refining"),
        ("Symphony from the New World", "refining"),
        ("Renewal", "refining"),
    ],
)
def test_a_title_that_speaks_of_a_new_piece_is_new(title: str, stage: str) -> None:
    plan = plan_of(
        {"routine": {"blocks": [{"title": title, "minutes": 20}, {"title": "Nocturne", "minutes": 60}]}}
    )
    (task,) = [task for task in plan.tasks if task.title == title]
    assert task.stage == stage
