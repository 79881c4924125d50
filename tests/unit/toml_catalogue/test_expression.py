"""Expressions come to what Python makes of them, exactly; anything else is refused."""

import math
from fractions import Fraction

import pytest
from bagatelle.pitches import pitch_name, pitch_number
from bagatelle.toml_catalogue.expression import ExpressionError, parsed
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch

NAMES = {"octaves": 3, "each.start": 60, "bpm": 84}
factors = st.one_of(
    st.integers(0, 500).map(str),
    st.decimals(0, 100, places=2).map(str),
    st.sampled_from(sorted(NAMES)),
)
products = st.lists(factors, min_size=1, max_size=4).map(" * ".join)
sums = st.lists(st.tuples(st.sampled_from(["+", "-"]), products), max_size=4)


@given(products, sums)
def test_it_comes_to_what_python_makes_of_it(first: str, more: list[tuple[str, str]]) -> None:
    expression = first + "".join(f" {sign} {product}" for sign, product in more)
    total = Fraction(0)
    for sign, product in [("+", first), *more]:
        worth = math.prod(
            (Fraction(NAMES.get(factor, factor)) for factor in product.split(" * ")), start=Fraction(1)
        )
        total += worth if sign == "+" else -worth
    assert parsed(expression).value(lambda name: Fraction(NAMES[name])) == total


@given(st.one_of(st.integers(-100, 100), st.floats(-100, 100, allow_nan=False).map(lambda x: round(x, 3))))
def test_a_number_is_itself(number: float) -> None:
    assert parsed(number).value(lambda name: Fraction(NAMES[name])) == Fraction(str(number))


@pytest.mark.parametrize(
    "expression",
    ["", " ", "+", "1 +", "* 2", "1 2", "(1)", "1 / 2", "a b", "2 ** 3", "__import__", "x.y.z", "1e3", "-1"],
)
def test_anything_else_is_refused(expression: str) -> None:
    with pytest.raises(ExpressionError, match="accepted"):
        parsed(expression)


@given(st.integers(12, 127))
def test_pitch_numbers_are_those_of_music21(number: int) -> None:
    # C4 is 60 there too (MIDI 1.0: middle C is 60); music21 writes a flat as a minus sign, so no octave below 0.
    assert Pitch(pitch_name(number)).midi == number
    assert pitch_number(pitch_name(number)) == number


@pytest.mark.parametrize(
    ("name", "number"),
    [("C4", 60), ("A4", 69), ("Bb3", 58), ("F#3", 54), ("Cb4", 59), ("B#3", 60), ("G9", 127)],
)
def test_pitch_names(name: str, number: int) -> None:
    assert pitch_number(name) == number
    assert Pitch(name.replace("b", "-")).midi == number


@pytest.mark.parametrize("name", ["H4", "c4", "C", "C44", "4C", "Cx4", "", "C4 "])
def test_what_is_no_pitch_name(name: str) -> None:
    assert pitch_number(name) is None
