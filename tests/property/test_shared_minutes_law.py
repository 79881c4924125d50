"""What a block leaves to its tasks without minutes is the same in whatever order the others stand, on any Python.

Until 3.11 `sum` adds binary fractions from left to right, from 3.12 on it makes good what each step rounds off.
"""

from fractions import Fraction

from bagatelle.engine.placing import LEAST_SHARED_MINUTES, place_tasks
from bagatelle.model.errors import FieldError
from bagatelle.model.request import Block, Routine, Task
from hypothesis import example, given, settings
from hypothesis import strategies as st

MINUTES = st.integers(10, 100).map(lambda twentieths: twentieths / 20)


def shared(block_minutes: float, listed: list[float], without: int) -> float:
    named = [Task(title=f"Piece {number}", minutes=minutes) for number, minutes in enumerate(listed)]
    others = [Task(title=f"Study {number}") for number in range(without)]
    errors: list[FieldError] = []
    block = Block(title="Evening", minutes=block_minutes, tasks=(*named, *others))
    placed = place_tasks(Routine(blocks=(block,)), errors)
    assert errors == []
    return placed[-1].minutes


@given(st.lists(MINUTES, min_size=2, max_size=6), st.integers(1, 6))
@example([0.5, 0.55, 0.6, 2.7], 2)
@example([2.7, 0.6, 0.55, 0.5], 2)
@settings(max_examples=200)
def test_what_is_taken_off_is_the_exact_sum_rounded_once(listed: list[float], without: int) -> None:
    taken = float(sum(map(Fraction, listed), Fraction(0)))
    assert shared(10, listed, without) == max((10 - taken) / without, LEAST_SHARED_MINUTES)


@given(
    st.lists(MINUTES, min_size=2, max_size=6).flatmap(
        lambda one: st.tuples(st.just(one), st.permutations(one))
    )
)
@example(([0.5, 0.55, 0.6, 2.7], [2.7, 0.6, 0.55, 0.5]))
@settings(max_examples=200)
def test_in_whatever_order_they_stand(orders: tuple[list[float], list[float]]) -> None:
    one, other = orders
    assert shared(10, one, 2) == shared(10, other, 2)
