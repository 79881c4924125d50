"""The optimum by looking at every plan there is. For very small problems."""

from itertools import product
from math import prod

from bagatelle.engine.problem import Problem

from tests.outside.options import Option, options_of, what_is_wrong


def count_of_plans(problem: Problem) -> int:
    """How many plans there are to look at."""
    return prod(1 + len(options_of(problem, item)) for item in problem.items)


def best_worth(problem: Problem) -> int | None:
    """Worth of the best legal plan; None where there is none."""
    choices: list[list[Option | None]] = [[None, *options_of(problem, item)] for item in problem.items]
    names = [item.id for item in problem.items]
    best: int | None = None
    for choice in product(*choices):
        kept = {name: option for name, option in zip(names, choice, strict=True) if option is not None}
        worth = sum(option.worth for option in kept.values())
        if best is not None and worth <= best:
            continue
        if not what_is_wrong(problem, {name: option.units for name, option in kept.items()}):
            best = worth
    return best
