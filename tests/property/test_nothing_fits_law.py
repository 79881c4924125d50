"""Where nothing fits, the error names the smallest window that would do, to the second; given, it gets a plan.

Where no window that counts as short would do, another error says so, and by how much which piece is too long.
"""

import copy

from bagatelle.model.errors import NoShortDayFitsError, NothingFitsError
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of

LONGEST_MINUTES = 600


@st.composite
def long_tasks(draw: st.DrawFn, number: int) -> Sent:
    """A piece in long passages with a long set-up."""
    return {
        "title": f"Piece {number}",
        "area": draw(st.sampled_from(("repertoire", "technique", "warm-up"))),
        "strain": draw(st.sampled_from(("low", "moderate", "high"))),
        "minutes": draw(st.integers(1, 6) | st.integers(1, 60)),
        "set_up_seconds": draw(st.integers(0, 240)),
        "pin": draw(st.sampled_from(("auto", "auto", "always", "never", "less"))),
        "passages": [
            {"id": f"p{index}", "label": "page", "seconds": draw(st.integers(30, 300)), "passes": 1}
            for index in range(draw(st.integers(1, 3)))
        ],
    }


@st.composite
def crowded_requests(draw: st.DrawFn) -> Sent:
    """Such pieces on a day of a quarter, of a minute or two, of a few such windows, or of a small share."""
    tasks = [draw(long_tasks(number)) for number in range(draw(st.integers(1, 4)))]
    assume(any(task["pin"] != "never" for task in tasks))
    if draw(st.booleans()):
        # Never planned, but it makes the half of the usual time long enough for any window.
        tasks.append({"title": "Orchestra", "minutes": 120, "pin": "never"})
    windows = draw(st.lists(st.integers(2, 24), max_size=4))
    return {
        "routine": {"blocks": [{"title": "Evening", "tasks": tasks}]},
        "instrument": draw(st.sampled_from(("piano", "snare-drum"))),
        "circumstances": {
            "windows": [{"minutes": quarters / 4} for quarters in windows],
            "energy": draw(st.sampled_from(("usual", "low"))),
            "quiet": draw(st.booleans()),
        },
        "policy": draw(st.sampled_from(({}, {}, {"share": 0.05}, {"share": 0.4}))),
        "measure_ladder": False,
    }


@given(crowded_requests())
@settings(max_examples=150)
def test_the_named_window_is_enough_and_no_smaller_one_is(sent: Sent) -> None:
    error = error_of(sent)
    if not isinstance(error, NothingFitsError):
        return
    event("nothing fits")
    seconds = error.smallest_window_seconds
    assert error_of(with_one_window(sent, seconds)) is None
    for less in range(max(seconds - 2, 30), seconds):
        assert isinstance(error_of(with_one_window(sent, less)), NothingFitsError)
    assert longest_window(sent) < seconds
    assert error.task in str(error)
    assert str(seconds) in str(error)


@given(crowded_requests())
@settings(max_examples=150)
def test_where_no_short_day_would_do_only_a_smaller_piece_does(sent: Sent) -> None:
    error = error_of(sent)
    if not isinstance(error, NoShortDayFitsError):
        return
    event("no short day")
    longest = with_one_window(sent, LONGEST_MINUTES * 60)
    assert isinstance(error_of(longest), NoShortDayFitsError)
    assert error_of(with_piece(longest, error.pointer, error.largest_seconds)) is None
    assert error_of(with_piece(longest, error.pointer, error.largest_seconds + 1)) is not None
    assert error.needed_seconds > error.largest_seconds
    for said in (repr(error.task), str(error.needed_seconds), str(error.largest_seconds)):
        assert said in str(error)


def error_of(sent: Sent) -> NothingFitsError | NoShortDayFitsError | None:
    """The error, or None where there is a plan with something in it."""
    try:
        assert plan_of(sent).steps
    except (NothingFitsError, NoShortDayFitsError) as error:
        return error
    return None


def with_one_window(sent: Sent, seconds: int) -> Sent:
    day = {name: value for name, value in sent["circumstances"].items() if name != "windows"}
    return sent | {"circumstances": day | {"minutes": seconds / 60}}


def longest_window(sent: Sent) -> float:
    """Seconds of the longest window that the day gives; none where the day says nothing of time."""
    return max((window["minutes"] * 60 for window in sent["circumstances"].get("windows", ())), default=0)


def with_piece(sent: Sent, pointer: str, seconds: int) -> Sent:
    """The request with the task there cut to a piece of so many seconds, its set-up counted in."""
    sent = copy.deepcopy(sent)
    task = sent["routine"]["blocks"][0]["tasks"][int(pointer.rpartition("/")[2])]
    task["set_up_seconds"] = min(task["set_up_seconds"], seconds - 5)
    task["passages"] = [
        {"id": "p0", "label": "line", "seconds": seconds - task["set_up_seconds"], "passes": 1}
    ]
    return sent
