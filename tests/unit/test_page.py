"""The page of text: how a step that goes on is led in, what is left out, ears."""

import re

from bagatelle.page import page_of

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request


def page(*tasks: Sent, minutes: tuple[float, ...] = (5, 5)) -> str:
    """The page of a day of so many windows, its lines joined."""
    windows = [{"minutes": length} for length in minutes]
    return re.sub(r"\s+", " ", page_of(plan_of(request(*tasks, circumstances={"windows": windows}))))


NEVER = own_task("never", 60, minutes=100, pin="never")


def test_other_units_of_a_task_are_more_of_it() -> None:
    waltz = own_task("waltz", 220, 220, minutes=10, smallest_chunk_seconds=60)
    assert "2. More of: Waltz: line 2" in page(waltz, NEVER)


def test_the_same_units_come_again() -> None:
    waltz = own_task("waltz", 220, minutes=10, smallest_chunk_seconds=60)
    assert "2. Again: Waltz: line 1" in page(waltz, NEVER)


def test_what_is_left_out_for_one_reason_shares_a_line() -> None:
    never = (own_task(name, 60, pin="never") for name in ("march", "polka", "waltz"))
    text = page(own_task("tango", 60), *never)
    assert "Left out today - March; Polka; Waltz: pinned: never on a short day" in text


def test_ear_plugs_are_for_the_loud_steps_by_number() -> None:
    loud = own_task("fanfare", 100, loudness="loud", minutes=5)
    quiet = own_task("lullaby", 100, loudness="soft", minutes=5)
    text = page(quiet, loud, NEVER)
    (number,) = re.findall(r"(\d)\. (?:\w+ of: |Again: |Then: )?Fanfare", text)
    assert f"Musicians' ear plugs in for step {number}; with ringing or muffled ears" in text.replace(
        "\n    ", " "
    )
    both = page(loud, own_task("galop", 100, loudness="loud", minutes=5), NEVER)
    assert (
        "Musicians' ear plugs in for steps 1 and 2; with ringing or muffled ears once they are out"
        in both.replace("\n    ", " ")
    )


def test_what_is_worth_writing_down_shares_a_line_and_nothing_speaks_of_the_answer() -> None:
    bare = [{"title": title, "minutes": 20} for title in ("Scales", "Study", "Sonata")]
    text = page(*bare)
    assert text.endswith(
        "Worth writing down for next time - Scales; Study; Sonata: which part of it, how much of each, "
        "in which manner, finished when"
    )


def test_a_step_begins_with_a_capital_and_is_long_to_the_half_minute() -> None:
    chorale = own_task("chorale", 210, minutes=7, smallest_chunk_seconds=60) | {"title": "the chorale in F"}
    assert "1. The chorale in F: line 1 [about 4 min]" in page(chorale, NEVER, minutes=(5,))


def test_the_steps_add_up_to_the_heading_getting_to_them_and_all() -> None:
    songs = [own_task(name, 100, minutes=3, set_up_seconds=25) for name in ("air", "reel", "jig", "march")]
    text = page(*songs, NEVER, minutes=(10,))
    halves = [
        2 * int(whole or 0) + bool(half) for whole, half in re.findall(r"\[about (\d*)(½?) min\]", text)
    ]
    assert halves == [5, 4, 4, 4]  # 125 s each: 8 min 20 s, and the page says 8½ min
    assert text.startswith("Short-day plan: 8½ min of the usual")
    assert "The 10 min are not filled: about 1½ min is left free" in text


def test_no_rule_closes_a_page_with_nothing_after_it() -> None:
    sent = request(own_task("waltz", 100), circumstances={"minutes": 5})
    assert not page_of(plan_of(sent)).endswith("-")
