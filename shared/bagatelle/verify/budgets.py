"""On what terms the plans of one window are made at a budget: what holds, and what gives way.

The duties, most important first: preparing before strain, what is pinned always, more than a warm-up, music, the
number of tasks. One gives way only where it cannot be met together with those before it, floors as low as they go.
Then the floors fall only as far as what is left needs. The routine's own warm-up comes last: nothing falls for
it. The warm-up that stands in comes in where the routine
has nothing that prepares, or where something would have to give way without it.
"""

from collections.abc import Iterator

import msgspec

from bagatelle.model.vocabulary import FLOOR_MODES
from bagatelle.verify.optimum import legal_plan_exists
from bagatelle.verify.subject import Subject, Terms


def day_terms(subject: Subject) -> Terms:
    """The terms of the day: recomputed for one window; for several, as the plan reports them."""
    if subject.single_window:
        terms = settled_terms(subject, subject.plan.budget_seconds, subject.capacity_seconds)
        if terms is not None:
            return terms
    return subject.reported_terms


def terms_at(subject: Subject, budget_seconds: int) -> Terms | None:
    """The terms at a budget, in one window; None where nothing fits at all."""
    return settled_terms(subject, budget_seconds, subject.room(budget_seconds))


def settled_terms(subject: Subject, budget_seconds: int, capacity_seconds: int) -> Terms | None:
    """The terms at a budget and capacity, floors and rules given way where they must."""
    everything = Terms(
        budget_seconds=budget_seconds,
        capacity_seconds=capacity_seconds,
        floor_mode="usual",
        limit=subject.limit_at(budget_seconds),
        prepare=subject.something_prepares,
        music=subject.music_is_due(budget_seconds),
        more=subject.something_is_more,
        must=subject.pinned,
        aside=subject.aside_at_first,
    )
    terms = everything if _possible(subject, everything) else _given_way(subject, everything)
    if terms is None:
        return None
    opened = msgspec.structs.replace(terms, must=terms.must | subject.opening_at(budget_seconds))
    return opened if _possible(subject, opened) else terms


def _given_way(subject: Subject, wanted: Terms) -> Terms | None:
    count = len(subject.available)
    terms = msgspec.structs.replace(
        wanted,
        floor_mode="unit",
        limit=count,
        prepare=False,
        music=False,
        more=False,
        must=frozenset(),
        aside=frozenset(),
    )
    if not _possible(subject, terms):
        return None
    for more in _duties(terms, wanted):
        asked = msgspec.structs.replace(
            terms,
            prepare=terms.prepare or more.prepare,
            music=terms.music or more.music,
            more=terms.more or more.more,
            must=terms.must | more.must,
        )
        terms = asked if _possible(subject, asked) else terms
    limits = (
        msgspec.structs.replace(terms, limit=limit)
        for limit in range(wanted.limit, max(count, wanted.limit) + 1)
    )
    terms = next((each for each in limits if _possible(subject, each)), terms)
    modes = (msgspec.structs.replace(terms, floor_mode=mode) for mode in FLOOR_MODES)
    terms = next(each for each in modes if _possible(subject, each))
    without = msgspec.structs.replace(terms, aside=wanted.aside)
    return without if _possible(subject, without) else terms


def _duties(nothing: Terms, wanted: Terms) -> Iterator[Terms]:
    """Each duty alone, most important first."""
    yield msgspec.structs.replace(nothing, prepare=wanted.prepare)
    for pin in sorted(wanted.must):
        yield msgspec.structs.replace(nothing, must=frozenset({pin}))
    yield msgspec.structs.replace(nothing, more=wanted.more)
    yield msgspec.structs.replace(nothing, music=wanted.music)


def _possible(subject: Subject, terms: Terms) -> bool:
    return legal_plan_exists(subject.window(terms))
