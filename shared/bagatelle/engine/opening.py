"""The own warm-up in the first window that is played, where one change of places brings it there."""

from collections import Counter
from collections.abc import Sequence
from typing import Final

from msgspec.structs import replace

from bagatelle.engine.layout import Visit
from bagatelle.engine.windows import OrderOf
from bagatelle.model.vocabulary import STRAINS

_STRAINS_FROM: Final = STRAINS.index("moderate")
"""In the order that the body wants."""


def opened_with(
    visits: tuple[Visit, ...], windows: Sequence[int], warm_up: str | None, order_of: OrderOf
) -> tuple[Visit, ...]:
    """The visits, the first one of the warm-up moved to the first window that is played, where it can be.

    It goes into what that window has left, or changes places with the shortest visit there that may come later: one
    of a task that is visited once. Doses and worth stay; what prepares may always come earlier. Not where another
    window would then begin with strain.

    Parameters
    ----------
    visits
        In the order of the day.
    windows
        Playing seconds of each.
    warm_up
        Its id; None where none is asked for.
    order_of
        The order that the body wants.
    """
    own = next((visit for visit in visits if visit.task == warm_up), None)
    if own is None or own.window == visits[0].window:
        return visits
    first, later = visits[0].window, own.window
    taken = Counter[int]()
    for visit in visits:
        taken[visit.window] += _cost(visit)
    moved = {id(own): replace(own, window=first)}
    if taken[first] + _cost(own) > windows[first]:
        counts = Counter(visit.task for visit in visits)
        may_change = [
            visit
            for visit in visits
            if visit.window == first
            and counts[visit.task] == 1
            and taken[first] - _cost(visit) + _cost(own) <= windows[first]
            and taken[later] - _cost(own) + _cost(visit) <= windows[later]
        ]
        if not may_change:
            return visits
        other = min(may_change, key=lambda visit: (_cost(visit), visit.task))
        moved[id(other)] = replace(other, window=later)
    changed = [moved.get(id(visit), visit) for visit in visits]
    changed.sort(key=lambda visit: (visit.window, order_of(visit.task)))
    is_colder = _cold_windows(changed, order_of) > _cold_windows(visits, order_of)
    return visits if is_colder else tuple(changed)


def _cold_windows(visits: Sequence[Visit], order_of: OrderOf) -> int:
    """How many windows begin with strain."""
    firsts: dict[int, str] = {}
    for visit in visits:
        firsts.setdefault(visit.window, visit.task)
    return sum(order_of(task)[0] >= _STRAINS_FROM for task in firsts.values())


def _cost(visit: Visit) -> int:
    return visit.seconds + visit.set_up_seconds
