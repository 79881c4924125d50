"""The worth of a dose against the same formula in decimal arithmetic of fifty digits (Python's `decimal`)."""

from decimal import Decimal, localcontext

from bagatelle.engine.doses import worth_of
from bagatelle.engine.problem import Item
from hypothesis import given
from hypothesis import strategies as st


def worth_in_decimals(weight: float, usual: int, played: int, curve: float) -> Decimal:
    """`1000 w T (1 - exp(-k t / T)) / (1 - exp(-k))`, not rounded."""
    with localcontext(prec=50):
        rate = Decimal(curve)
        share = (1 - (-rate * min(played, usual) / usual).exp()) / (1 - (-rate).exp())
        return 1000 * Decimal(weight) * usual * share


@given(
    weight=st.floats(0.05, 6.0),
    usual=st.integers(30, 36_000),
    played=st.integers(0, 40_000),
    curve=st.sampled_from((0.5, 2.0, 4.0)),
)
def test_worth_is_the_nearest_whole_number(weight: float, usual: int, played: int, curve: float) -> None:
    item = Item(
        id="task",
        weight=weight,
        usual_seconds=usual,
        largest_seconds=usual,
        unit_seconds=(1,),
        chunk_seconds=1,
        set_up_seconds=0,
    )
    exact = worth_in_decimals(weight, usual, played, curve)
    # A millionth for the floating point that stands behind the rounding.
    assert abs(worth_of(item, played, curve) - exact) <= Decimal("0.500001")
