"""Numbers that hang on settings: sums of products of numbers and names, and nothing else."""

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Final, TypeAlias

from msgspec import Struct

_TOKEN: Final = re.compile(
    r"\s*(?:(?P<number>[0-9]+(?:\.[0-9]+)?)|(?P<name>[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?)|(?P<sign>[-+*]))"
)
ACCEPTED: Final = "numbers and names joined by +, - and *, such as `14 * octaves + 1`"

Exact: TypeAlias = int | Fraction
"""Whole numbers are ten times as fast."""
Factor: TypeAlias = Exact | str
"""A number, or a name."""


class ExpressionError(ValueError):
    """A text is no such expression; says why."""


class Product(Struct, frozen=True):
    """Factors, and whether the product is taken away."""

    is_negative: bool
    factors: tuple[Factor, ...]


class Sum(Struct, frozen=True):
    """A parsed expression."""

    products: tuple[Product, ...]

    @property
    def names(self) -> frozenset[str]:
        """All names in it."""
        return frozenset(
            factor for product in self.products for factor in product.factors if isinstance(factor, str)
        )

    def value(self, of: Callable[[str], Exact]) -> Exact:
        """Return what it comes to, exactly.

        :param of: the value of a name.
        """
        total: Exact = 0
        for product in self.products:
            worth: Exact = 1
            for factor in product.factors:
                worth *= of(factor) if isinstance(factor, str) else factor
            total += -worth if product.is_negative else worth
        return total


@lru_cache(maxsize=1024)
def parsed(expression: str | float) -> Sum:
    """Parse one expression; most stand in many exercises.

    :raises ExpressionError: where it breaks the grammar.
    """
    if not isinstance(expression, str):
        return Sum((Product(is_negative=expression < 0, factors=(exact(abs(expression)),)),))
    products: list[Product] = []
    factors: list[Factor] = []
    is_negative, wants_factor = False, True
    for piece, is_sign in _tokens(expression):
        if is_sign == wants_factor:
            raise ExpressionError(f"{expression!r} cannot be read at {piece!r} (accepted: {ACCEPTED})")
        wants_factor = is_sign
        if not is_sign:
            factors.append(exact(piece) if piece[0].isdigit() else piece)
        elif piece != "*":
            products.append(Product(is_negative, tuple(factors)))
            factors, is_negative = [], piece == "-"
    if wants_factor:
        raise ExpressionError(
            f"{expression!r} ends where a number or a name is missing (accepted: {ACCEPTED})"
        )
    return Sum((*products, Product(is_negative, tuple(factors))))


def exact(number: str | float) -> Exact:
    """Return a number as it is written down."""
    written = Fraction(str(number))
    return int(written) if written.denominator == 1 else written


def _tokens(expression: str) -> Iterable[tuple[str, bool]]:
    """Each token, and whether it is a sign."""
    text = expression.rstrip()
    position = 0
    while position < len(text):
        found = _TOKEN.match(text, position)
        if found is None:
            rest = text[position:].strip()
            raise ExpressionError(f"{expression!r} cannot be read at {rest!r} (accepted: {ACCEPTED})")
        yield found[0].strip(), found["sign"] is not None
        position = found.end()
