"""A routine's set as it is made: asked of the engine, compared with what there is, and said in words."""

from collections.abc import Mapping, Sequence
from typing import Final, Literal
from uuid import UUID

import msgspec
from bagatelle.model.card import CardDifference, CardKind
from msgspec import Struct

from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.card_sets import PreparedCard, PreparedCards
from bagatelle_service.school.kept_sets import CardToKeep, PlanPlace, SetToKeep
from bagatelle_service.school.plan_choices import PlanChoices, write_choices
from bagatelle_service.school.plan_sets import PlanFacts, SetFound

PlanChange = Literal["new", "changed", "same"]


class PlanOfSet(Struct, frozen=True, kw_only=True):
    """What became of one plan of a set, or would."""

    kind: CardKind
    plan: UUID | None
    """Null where there is none yet, and nothing was to be stored."""
    revision: int | None
    """As `plan`; the newest that there is."""
    change: PlanChange
    """`changed` with no differences: the card came out the same with another revision of the routine or other
    versions."""
    differences: tuple[CardDifference, ...]
    """Of a card that has changed, from the one before."""
    dropped: tuple[str, ...]
    """Keys of tasks that the routine has lost, for which something was chosen in this plan."""


class EmptyKind(Struct, frozen=True, kw_only=True):
    """A kind of hard day that the routine gives nothing for."""

    kind: CardKind
    because: str
    plan: UUID | None
    """The plan that there is of it, from when the routine gave something."""
    archives: bool
    """Whether that plan is archived by this preparation, or would be."""


class SetOutcome(Struct, frozen=True, kw_only=True):
    """What became of a set, or would."""

    plans: tuple[PlanOfSet, ...]
    """In the order of the kinds."""
    nothing_for: tuple[EmptyKind, ...]


class SetMade(Struct, frozen=True, kw_only=True):
    """A set that was made, and not stored yet."""

    found: SetFound
    cards: PreparedCards

    def change_of(self, card: PreparedCard) -> PlanChange:
        """Tell whether a card has to be stored."""
        facts = _facts_of(self.found, card.kind)
        if facts is None:
            return "new"
        before = (facts.routine_revision, facts.made_with, facts.choices, facts.catalogue_hash)
        now = (
            self.found.routine.revision,
            card.made_with,
            write_choices(card.choices),
            self.cards.snapshot.hash,
        )
        is_same = card.same and before == now and not facts.place.is_archived
        return "same" if is_same else "changed"

    @property
    def to_keep(self) -> SetToKeep:
        """What of it is to be stored."""
        return SetToKeep(
            routine_id=self.found.routine.id,
            student_id=self.found.routine.student_id,
            routine_revision=self.found.routine.revision,
            cards=[
                CardToKeep(
                    kind=card.kind,
                    body=card.body,
                    made_with=card.made_with,
                    choices=write_choices(card.choices),
                )
                for card in self.cards.cards
                if self.change_of(card) != "same"
            ],
            empty_kinds=self.cards.empty_kinds,
            snapshot=self.cards.snapshot,
        )

    @property
    def changes_nothing(self) -> bool:
        """Whether nothing of it is to be stored."""
        return not any(map(self._archives, self.cards.empty_kinds)) and all(
            self.change_of(card) == "same" for card in self.cards.cards
        )

    def _archives(self, kind: CardKind) -> bool:
        facts = _facts_of(self.found, kind)
        return facts is not None and not facts.place.is_archived

    def outcome(self, places: Mapping[str, PlanPlace]) -> SetOutcome:
        """Say what became of it.

        :param places: where its plans are, once it is stored.
        """
        return SetOutcome(
            plans=tuple(self._plan(card, places.get(card.kind)) for card in self.cards.cards),
            nothing_for=tuple(
                EmptyKind(
                    kind=kind,
                    because=_because(kind),
                    plan=places[kind].id if kind in places else None,
                    archives=self._archives(kind),
                )
                for kind in self.cards.empty_kinds
            ),
        )

    def _plan(self, card: PreparedCard, place: PlanPlace | None) -> PlanOfSet:
        return PlanOfSet(
            kind=card.kind,
            plan=None if place is None else place.id,
            revision=None if place is None else place.revision,
            change=self.change_of(card),
            differences=card.differences,
            dropped=card.dropped,
        )


async def make_set(
    ask: Ask,
    found: SetFound,
    kinds: Sequence[CardKind],
    choices: PlanChoices | None = None,
) -> SetMade:
    """Ask the engine for a routine's cards.

    :param choices: in place of those that are stored.
    :raises Exception: whatever the question comes to.
    """
    asked = {
        "document": msgspec.Raw(found.document.encode()),
        "day": found.routine.day,
        "kinds": [_kind_to_prepare(found, kind, choices) for kind in kinds],
    }
    answer = await ask("prepare", msgspec.json.encode(asked))
    return SetMade(found=found, cards=msgspec.json.decode(answer, type=PreparedCards))


def _facts_of(found: SetFound, kind: CardKind) -> PlanFacts | None:
    return next((plan for plan in found.routine.plans if plan.kind == kind), None)


def _kind_to_prepare(found: SetFound, kind: CardKind, choices: PlanChoices | None) -> dict[str, object]:
    facts = _facts_of(found, kind)
    if facts is None:
        return {"kind": kind}
    stored = msgspec.Raw(facts.choices.encode())
    return {
        "kind": kind,
        "choices": stored if choices is None else choices,
        "before": found.bodies[facts.place.id],
    }


_DAYS: Final[Mapping[CardKind, str]] = {
    "usual": "a day with little time",
    "scraps": "a day whose time lies about in scraps",
    "low-energy": "a day with little energy",
    "away": "a day without the instrument",
    "quiet": "a day on which nothing may sound",
    "resting": "a day on which something is sore",
}


def _because(kind: CardKind) -> str:
    return (
        f"For {_DAYS[kind]} the routine gives nothing: each task is pinned never, is beyond the learner's limits, "
        "or has no piece that is short enough."
    )
