"""The verifier's optimum is the best of all legal plans, found by looking at every one."""

from itertools import product

from bagatelle.verify.optimum import Candidate, TooBigError, Window, best_worth, legal_plan_exists
from hypothesis import given, settings
from hypothesis import strategies as st


@st.composite
def windows(draw: st.DrawFn) -> Window:
    names = "abcde"[: draw(st.integers(1, 5))]
    candidates = tuple(draw(_candidates(name)) for name in names)
    return Window(
        candidates=candidates,
        capacity_seconds=draw(st.integers(0, 40)),
        count_limit=draw(st.integers(1, 5)),
        prepare=draw(st.booleans()),
        music=draw(st.booleans()),
        other_than=draw(st.none() | st.frozensets(st.sampled_from(names))),
    )


@st.composite
def _candidates(draw: st.DrawFn, name: str) -> Candidate:
    costs = sorted(draw(st.sets(st.integers(1, 30), min_size=1, max_size=4)))
    return Candidate(
        id=name,
        must=draw(st.integers(0, 9)) == 0,
        prepares=draw(st.booleans()),
        strains=draw(st.booleans()),
        music=draw(st.booleans()),
        stand_in=draw(st.integers(0, 4)) == 0,
        doses=tuple((cost, draw(st.integers(0, 100))) for cost in costs),
    )


def _best_of_all(window: Window) -> int | None:
    best: int | None = None
    for choice in product(*[[None, *candidate.doses] for candidate in window.candidates]):
        kept = [
            (candidate, dose)
            for candidate, dose in zip(window.candidates, choice, strict=True)
            if dose is not None
        ]
        if _legal(window, [candidate for candidate, _ in kept], sum(dose[0] for _, dose in kept)):
            best = max(best if best is not None else -1, sum(dose[1] for _, dose in kept))
    return best


def _legal(window: Window, kept: list[Candidate], cost: int) -> bool:
    own = frozenset(each.id for each in kept if not each.stand_in)
    stand_ins = frozenset(each.id for each in window.candidates if each.stand_in)
    return (
        bool(own)
        and len(kept) - any(each.prepares for each in kept) <= window.count_limit
        and cost <= window.capacity_seconds
        and all(candidate in kept for candidate in window.candidates if candidate.must)
        and (not window.music or any(each.music for each in kept))
        and (
            not window.prepare
            or not any(each.strains for each in kept)
            or any(each.prepares for each in kept)
        )
        and (window.other_than is None or own != window.other_than - stand_ins)
    )


@given(windows())
@settings(max_examples=200, deadline=None)
def test_the_optimum_is_the_best_of_all_legal_plans(window: Window) -> None:
    assert best_worth(window) == _best_of_all(window)


@given(windows())
@settings(max_examples=100, deadline=None)
def test_a_legal_plan_exists_where_one_is_found(window: Window) -> None:
    assert legal_plan_exists(window) == (_best_of_all(window) is not None)


@given(windows(), st.integers(-1, 300))
@settings(max_examples=100, deadline=None)
def test_asked_for_more_it_answers_only_what_is_more(window: Window, more_than: int) -> None:
    best = _best_of_all(window)
    expected = best if best is not None and best > more_than else None
    assert best_worth(window, more_than=more_than) == expected


@given(windows())
@settings(max_examples=20, deadline=None)
def test_too_much_work_is_said(window: Window) -> None:
    try:
        best_worth(window, work_limit=0)
    except TooBigError:
        return
    raise AssertionError("A question was answered without any work.")
