"""Where nothing fits, the error names the smallest window that would do; that window does get a plan."""

from bagatelle.model.errors import NothingFitsError
from hypothesis import assume, event, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of


@st.composite
def crowded_requests(draw: st.DrawFn) -> Sent:
    """Long passages and long set-ups on a day of a minute or two, or of a few such windows."""
    tasks = [
        {
            "title": f"Piece {number}",
            "area": draw(st.sampled_from(("repertoire", "technique", "warm-up"))),
            "strain": draw(st.sampled_from(("low", "moderate", "high"))),
            "minutes": draw(st.integers(10, 60)),
            "set_up_seconds": draw(st.integers(0, 240)),
            "pin": draw(st.sampled_from(("auto", "auto", "always", "never", "less"))),
            "passages": [
                {"id": f"p{index}", "label": "page", "seconds": draw(st.integers(30, 300)), "passes": 1}
                for index in range(draw(st.integers(1, 3)))
            ],
        }
        for number in range(draw(st.integers(1, 4)))
    ]
    assume(any(task["pin"] != "never" for task in tasks))
    windows = draw(st.lists(st.integers(2, 12), min_size=1, max_size=4))
    # Never planned, but it makes the half of the usual time long enough for any window.
    long = {"title": "Orchestra", "minutes": 120, "pin": "never"}
    return {
        "routine": {"blocks": [{"title": "Evening", "tasks": [*tasks, long]}]},
        "circumstances": {"windows": [{"minutes": quarters / 4} for quarters in windows]},
        "measure_ladder": False,
    }


@given(crowded_requests())
def test_the_named_window_is_enough_and_no_smaller_one_is(sent: Sent) -> None:
    error = error_of(sent)
    if error is None:
        return
    event("nothing fits")
    seconds = error.smallest_window_seconds
    assert plan_of(with_one_window(sent, seconds)).steps
    for less in range(max(seconds - 2, 30), seconds):
        assert error_of(with_one_window(sent, less)) is not None
    assert error.task in str(error)
    assert str(seconds) in str(error)


def error_of(sent: Sent) -> NothingFitsError | None:
    """The error, or None where there is a plan with something in it."""
    try:
        assert plan_of(sent).steps
    except NothingFitsError as error:
        return error
    return None


def with_one_window(sent: Sent, seconds: int) -> Sent:
    return sent | {"circumstances": {"windows": [{"minutes": seconds / 60}]}}
