"""Preparing a routine's cards: what is asked of the engine, and what comes back, each card as it is stored.

Nothing here knows a database, so that it runs in the engine's own processes; comparing and compressing are done
there too, as they cost more than what is left for the service to do.
"""

from collections.abc import Iterable, Sequence
from datetime import date

import msgspec
from bagatelle import Instruments, prepare_all
from bagatelle.card.differences import differences_of
from bagatelle.model.card import Card, CardDifference, CardKind
from msgspec import Struct

from bagatelle_service.school.card_bodies import read_body, write_body
from bagatelle_service.school.plan_choices import (
    PlanChoices,
    chosen_content,
    without_gone_tasks,
    worded,
)
from bagatelle_service.school.plan_versions import versions_of, write_versions
from bagatelle_service.school.routine_document import RoutineDocument, planning_request
from bagatelle_service.school.snapshots import Snapshot, snapshot_of


class KindToPrepare(Struct, frozen=True, kw_only=True):
    """One kind of hard day, with what there is of it."""

    kind: CardKind
    choices: PlanChoices = PlanChoices()
    before: bytes | None = None
    """The body of the newest revision; None where the routine has no plan of the kind."""


class SetToPrepare(Struct, frozen=True, kw_only=True):
    """A routine, and the kinds that it is to be prepared for."""

    document: RoutineDocument
    day: date
    """The student's own today: what is due is seen from there."""
    kinds: tuple[KindToPrepare, ...]


class PreparedCard(Struct, frozen=True, kw_only=True):
    """A card, ready to be stored."""

    kind: CardKind
    body: bytes
    made_with: str
    choices: PlanChoices
    """Those for tasks that the routine still has."""
    dropped: tuple[str, ...]
    """Tasks that the routine has lost, and something was chosen for."""
    same: bool
    """Whether it is the card that there was before, to the byte."""
    differences: tuple[CardDifference, ...]


class PreparedCards(Struct, frozen=True, kw_only=True):
    """What a routine came to."""

    cards: tuple[PreparedCard, ...]
    empty_kinds: tuple[CardKind, ...]
    """Those that the routine gives nothing for."""
    snapshot: Snapshot


def prepare_cards(asked: SetToPrepare, instruments: Instruments) -> PreparedCards:
    """Prepare a routine for the kinds asked for.

    :raises BagatelleError: what `bagatelle.prepare_all` raises.
    """
    chosen = {each.kind: without_gone_tasks(each.choices, asked.document) for each in asked.kinds}
    made: dict[CardKind, Card] = {}
    for kinds in _that_share_a_search(chosen):
        content = chosen_content(asked.document, chosen[kinds[0]][0])
        made |= {
            card.kind: worded(card, chosen[card.kind][0])
            for card in prepare_all(planning_request(content, asked.day), instruments, kinds).cards
        }
    return PreparedCards(
        cards=tuple(
            _prepared(made[each.kind], each, asked, *chosen[each.kind])
            for each in asked.kinds
            if each.kind in made
        ),
        empty_kinds=tuple(each.kind for each in asked.kinds if each.kind not in made),
        snapshot=snapshot_of(asked.document, instruments),
    )


def _that_share_a_search(
    chosen: dict[CardKind, tuple[PlanChoices, tuple[str, ...]]],
) -> Iterable[Sequence[CardKind]]:
    """Group kinds by what is decided for them: what is the same in their cards is worked out once."""
    groups: dict[tuple[object, ...], list[CardKind]] = {}
    for kind, (choices, _) in chosen.items():
        groups.setdefault(choices.decides, []).append(kind)
    return groups.values()


def _prepared(
    card: Card, asked: KindToPrepare, of_set: SetToPrepare, choices: PlanChoices, dropped: tuple[str, ...]
) -> PreparedCard:
    written = msgspec.json.encode(card)
    before = None if asked.before is None else read_body(asked.before)
    return PreparedCard(
        kind=card.kind,
        body=write_body(written),
        made_with=write_versions(versions_of(card, of_set.document, of_set.day)),
        choices=choices,
        dropped=dropped,
        same=before == written,
        differences=_differences(before, written, card),
    )


def _differences(before: bytes | None, written: bytes, card: Card) -> tuple[CardDifference, ...]:
    if before is None or before == written:
        return ()
    return differences_of(msgspec.json.decode(before, type=Card), card)
