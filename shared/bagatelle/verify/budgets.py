"""On what terms the plans of one window are made at a budget: rules and floors give way where they must."""

from itertools import product

import msgspec

from bagatelle.model.vocabulary import FloorMode
from bagatelle.verify.figures import playing_capacity
from bagatelle.verify.optimum import legal_plan_exists
from bagatelle.verify.subject import Subject, Terms

MODES: tuple[FloorMode, ...] = ("usual", "chunk", "unit")


def terms_at(subject: Subject, budget_seconds: int) -> Terms:
    """The first terms on which any plan is legal at a budget."""
    capacity = playing_capacity(budget_seconds)
    music = subject.music_is_due(budget_seconds)
    full = Terms(
        budget_seconds=budget_seconds,
        capacity_seconds=capacity,
        floor_mode="usual",
        limit=subject.limit_at(budget_seconds),
        prepare=subject.something_prepares,
        music=music,
    )
    for mode, keep_music in product(MODES, (True, False)):
        terms = msgspec.structs.replace(full, floor_mode=mode, music=music and keep_music)
        if legal_plan_exists(subject.window(terms)):
            return terms
    return full
