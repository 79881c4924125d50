"""However logs are delivered, in any order, twice, or corrected late, they come to the same progress."""

import random

from bagatelle.model.progress import LogEntry, PracticeFacts
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.progress_strategies import log_entries, made_of, practice_facts

CHANCE = st.randoms(use_true_random=False)


@given(practice_facts(), CHANCE)
def test_order_and_doubling_change_nothing(facts: PracticeFacts, chance: random.Random) -> None:
    delivered = [entry for entry in facts.entries for _ in range(chance.choice([1, 1, 2, 3]))]
    chance.shuffle(delivered)
    sheets = chance.sample(facts.sheets, len(facts.sheets))
    assert made_of(replace(facts, entries=tuple(delivered), sheets=tuple(sheets))) == made_of(facts)


@given(practice_facts(), log_entries(), st.booleans(), CHANCE)
def test_the_newest_revision_counts_whenever_it_comes(
    facts: PracticeFacts, changed: LogEntry, removed: bool, chance: random.Random
) -> None:
    others = facts.entries[1:]
    newest = replace(changed, revision=3, removed=removed)
    delivered = [*facts.entries[:1], *others, replace(changed, revision=2, seconds=7200), newest]
    chance.shuffle(delivered)
    expected = others if removed else (newest, *others)
    assert made_of(replace(facts, entries=tuple(delivered))) == made_of(replace(facts, entries=expected))


@given(practice_facts(), log_entries(), log_entries())
def test_two_of_one_revision_do_not_depend_on_their_order(
    facts: PracticeFacts, one: LogEntry, other: LogEntry
) -> None:
    others = facts.entries[1:]
    assert made_of(replace(facts, entries=(one, *others, other))) == made_of(
        replace(facts, entries=(other, *others, one))
    )
