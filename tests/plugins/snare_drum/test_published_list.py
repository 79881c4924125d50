"""The rudiments against the published list."""

import re
from collections import Counter
from fractions import Fraction

import pytest
from bagatelle_snare_drum.rudiments import Rudiment, chosen_rudiments, rudiments
from bagatelle_snare_drum.sticking import halves

from tests.plugins.snare_drum.published import BEATS_ONCE_ROUND, PUBLISHED, Published

PAIRS = list(zip(rudiments(), PUBLISHED, strict=True))
EACH = pytest.mark.parametrize(("ours", "published"), PAIRS, ids=[ours.id for ours, _ in PAIRS])


def strokes_alone(sticking: str) -> str:
    """Drop what the published notation does not have: spaces, rests, brackets, buzz marks, bars."""
    return re.sub(r"[^RLrl>]", "", sticking)


def test_names_numbers_and_families() -> None:
    assert [(each.number, each.name, each.family) for each in rudiments()] == [each[:3] for each in PUBLISHED]


def test_how_many_of_each_family() -> None:
    assert Counter(each.family for each in rudiments()) == {"roll": 15, "diddle": 4, "flam": 11, "drag": 10}
    groups = Counter(each.group for each in rudiments() if each.family == "roll")
    assert groups == {"single": 3, "multiple bounce": 2, "double": 10}
    assert {each.group for each in rudiments() if each.family != "roll"} == {None}


@EACH
def test_sticking_and_how_it_is_known(ours: Rudiment, published: Published) -> None:
    whole_or_right_hand_lead = {strokes_alone(ours.sticking), strokes_alone(halves(ours.sticking)[0])}
    assert strokes_alone(published.sticking) in whole_or_right_hand_lead
    assert ours.source.status == published.status


@EACH
def test_once_round_lasts_whole_beats(ours: Rudiment, published: Published) -> None:
    assert Fraction(ours.slots, ours.notes_per_beat) == BEATS_ONCE_ROUND[published.number]


@EACH
def test_the_slug_follows_from_the_name(ours: Rudiment, published: Published) -> None:
    assert ours.id == re.sub(r"[^a-z0-9]+", "-", published.name.lower()).strip("-")


def test_published_order_whatever_the_order_asked() -> None:
    asked = ["Flam", "single-paradiddle", "Single Stroke Roll"]
    assert [each.number for each in chosen_rudiments(asked)] == [1, 16, 20]


def test_a_rudiment_asked_for_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="'Flam' is asked for twice; name each rudiment once"):
        chosen_rudiments(["Flam", "flam"])


def test_an_unknown_rudiment_is_refused() -> None:
    with pytest.raises(ValueError, match="'Quadradiddle' is none of the forty"):
        chosen_rudiments(["Quadradiddle"])
