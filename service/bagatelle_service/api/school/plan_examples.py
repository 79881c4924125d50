"""Examples of prepared plans, made by the engine itself of the example of a routine: they cannot go stale."""

from datetime import UTC, date, datetime
from functools import cache
from typing import Any, Final
from uuid import UUID

import msgspec
from bagatelle import Instruments
from bagatelle.model.card import Card

from bagatelle_service.api.operation import example_bytes
from bagatelle_service.school.card_bodies import read_body
from bagatelle_service.school.card_sets import KindToPrepare, PreparedCards, SetToPrepare, prepare_cards
from bagatelle_service.school.plan_choices import PlanChoices
from bagatelle_service.school.plan_revisions import PlanRevisionAnswer
from bagatelle_service.school.plan_versions import read_versions
from bagatelle_service.school.plans import PlanAnswer
from bagatelle_service.school.routine_document import RoutineDocument

_DAY: Final = date(2027, 3, 1)
_MADE_AT: Final = datetime(2027, 3, 1, 8, tzinfo=UTC)
_STUDENT: Final = UUID("5b0c6a9e-2f0d-4c0e-9a43-7d1f0f6c2b11")
_ROUTINE: Final = UUID("3e2b8f70-1c9d-4f7e-9a60-6b5d4c3a2f19")
_PLAN: Final = UUID("c90f1a7d-58e2-4b36-9d4c-2a6e8f0b1d57")


@cache
def _cards() -> PreparedCards:
    document = msgspec.json.decode(example_bytes("routine-document"), type=RoutineDocument)
    asked = SetToPrepare(document=document, day=_DAY, kinds=(KindToPrepare(kind="usual"),))
    return prepare_cards(asked, Instruments.none())


def plan_example() -> Any:
    """Show a plan for days with little time."""
    (prepared,) = _cards().cards
    return msgspec.to_builtins(
        PlanAnswer(
            id=_PLAN,
            student=_STUDENT,
            routine=_ROUTINE,
            kind=prepared.kind,
            revision=1,
            routine_revision=1,
            created_at=_MADE_AT,
            outdated=(),
            archived=False,
            made_with=read_versions(prepared.made_with),
            choices=PlanChoices(),
            card=_card(),
        )
    )


def plan_revision_example() -> Any:
    """Show the first revision of that plan."""
    (prepared,) = _cards().cards
    return msgspec.to_builtins(
        PlanRevisionAnswer(
            number=1,
            created_at=_MADE_AT,
            routine_revision=1,
            plan=_PLAN,
            kind=prepared.kind,
            made_with=read_versions(prepared.made_with),
            choices=PlanChoices(),
            card=_card(),
        )
    )


def _card() -> Card:
    (prepared,) = _cards().cards
    return msgspec.json.decode(read_body(prepared.body), type=Card)
