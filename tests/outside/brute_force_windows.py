"""The optimum of several windows by looking at every plan there is. For very small cases."""

from collections.abc import Iterator
from itertools import product
from math import prod

from bagatelle.engine.doses import worth_of
from bagatelle.engine.layout import Visit
from bagatelle.engine.problem import Item

from tests.outside.generated_windows import WindowsCase
from tests.outside.options import chunk_seconds, least_units, seconds_by_units
from tests.outside.rules_of_windows import wrong_visits


def splits_of(case: WindowsCase, item: Item) -> list[tuple[int, ...]]:
    """Every way to spread a dose over the windows: units of each, visits large enough and within their window."""
    seconds = seconds_by_units(item)
    least = least_units(case.problem, item, seconds)
    chunk = chunk_seconds(case.problem, item)
    ends = [0, *seconds]

    def spread(window: int, done: int) -> Iterator[tuple[int, ...]]:
        if window == len(case.windows):
            if done >= least:
                yield ()
            return
        for end in range(done, len(ends)):
            taken = ends[end] - ends[done]
            if end == done or chunk <= taken <= case.windows[window] - item.set_up_seconds:
                for rest in spread(window + 1, end):
                    yield (end - done, *rest)

    return list(spread(0, 0))


def count_of_plans(case: WindowsCase) -> int:
    """How many plans there are to look at."""
    return prod(1 + len(splits_of(case, item)) for item in case.problem.items)


def best_worth(case: WindowsCase) -> int | None:
    """Worth of the best legal plan; None where there is none."""
    nothing = (0,) * len(case.windows)
    items = case.problem.items
    best: int | None = None
    for choice in product(*[[nothing, *splits_of(case, item)] for item in items]):
        worth = sum(_worth(case, item, sum(split)) for item, split in zip(items, choice, strict=True))
        if (best is None or worth > best) and not wrong_visits(case, _visits(case, choice)):
            best = worth
    return best


def _worth(case: WindowsCase, item: Item, units: int) -> int:
    return worth_of(item, seconds_by_units(item)[units - 1], case.problem.curve) if units else 0


def _visits(case: WindowsCase, choice: tuple[tuple[int, ...], ...]) -> list[Visit]:
    visits = []
    for item, split in zip(case.problem.items, choice, strict=True):
        ends = [0, *seconds_by_units(item)]
        done = 0
        for window, units in enumerate(split):
            if units:
                seconds = ends[done + units] - ends[done]
                visits.append(
                    Visit(
                        window=window,
                        task=item.id,
                        first_unit=done,
                        units=units,
                        seconds=seconds,
                        set_up_seconds=item.set_up_seconds,
                    )
                )
            done += units
    return sorted(visits, key=lambda visit: (visit.window, case.order_of(visit.task)))
