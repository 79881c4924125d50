"""Laws of the stickings, which follow from what the names mean."""

import pytest
from bagatelle_snare_drum.exercises.rudiments import CHAIN, CHAIN_NOTES, ROLL_NAMES
from bagatelle_snare_drum.rudiments import Rudiment, rudiments
from bagatelle_snare_drum.sticking import both_leads, halves, slots, strokes

ALL = rudiments()
BY_ID = {each.id: each for each in ALL}
OTHER_HAND = {"R": "L", "L": "R"}
MIRROR = str.maketrans("RLrl", "LRlr")


def of_family(family: str) -> list[Rudiment]:
    return [each for each in ALL if each.family == family]


@pytest.mark.parametrize(("count", "name"), ROLL_NAMES.items())
def test_a_roll_has_as_many_strokes_as_its_name_says(count: int, name: str) -> None:
    sticking = next(each.sticking for each in ALL if each.name == name)
    assert {len(strokes(half)) for half in halves(sticking)} == {count}


@pytest.mark.parametrize(
    ("rudiment", "count"),
    [
        ("single-paradiddle", 8),
        ("double-paradiddle", 12),
        ("triple-paradiddle", 16),
        ("single-paradiddle-diddle", 6),
    ],
)
def test_strokes_of_paradiddles(rudiment: str, count: int) -> None:
    assert len(strokes(BY_ID[rudiment].sticking)) == count


@pytest.mark.parametrize("rudiment", [each for each in ALL if "|" in each.sticking], ids=lambda each: each.id)
def test_the_left_hand_lead_mirrors_the_right(rudiment: Rudiment) -> None:
    right, left = halves(rudiment.sticking)
    assert left == right.translate(MIRROR)


@pytest.mark.parametrize("rudiment", ALL, ids=lambda each: each.id)
def test_the_right_hand_leads_first(rudiment: Rudiment) -> None:
    assert strokes(rudiment.sticking)[0].hand == "R"


@pytest.mark.parametrize("rudiment", of_family("flam"), ids=lambda each: each.id)
def test_a_flam_has_one_grace_note_of_the_other_hand(rudiment: Rudiment) -> None:
    graces = [(each.grace, each.hand) for each in strokes(rudiment.sticking) if each.grace]
    assert graces
    assert all(grace == OTHER_HAND[hand].lower() for grace, hand in graces)


@pytest.mark.parametrize("rudiment", of_family("drag"), ids=lambda each: each.id)
def test_a_drag_has_two_strokes_of_one_hand(rudiment: Rudiment) -> None:
    played = strokes(rudiment.sticking)
    graces = [(each.grace, each.hand) for each in played if each.grace]
    assert all(grace == OTHER_HAND[hand].lower() * 2 for grace, hand in graces)
    assert graces or any(each.shares_slot for each in played)


@pytest.mark.parametrize("rudiment", of_family("roll") + of_family("diddle"), ids=lambda each: each.id)
def test_rolls_and_diddles_have_no_grace_notes(rudiment: Rudiment) -> None:
    assert not any(each.grace for each in strokes(rudiment.sticking))


def test_only_the_multiple_bounce_roll_buzzes() -> None:
    assert [each.id for each in ALL if any(stroke.buzz for stroke in strokes(each.sticking))] == [
        "multiple-bounce-roll"
    ]


def test_the_chain_holds_the_paradiddles_of_the_list() -> None:
    names = ("single-paradiddle", "double-paradiddle", "triple-paradiddle", "single-paradiddle-diddle")
    for link, name in zip(CHAIN, names, strict=True):
        hands = [each.hand for each in strokes(link)]
        of_list = [each.hand for each in strokes(BY_ID[name].sticking)]
        assert hands == of_list * (len(hands) // len(of_list))
    assert sum(slots(link) for link in CHAIN) == CHAIN_NOTES == 48


def test_what_holds_a_slot() -> None:
    # Two grace notes: none. A held stroke: two. Two strokes in brackets: one together.
    assert slots("llR") == 1
    assert slots("R>-") == 2
    assert slots("(RR)> L") == 2
    assert len(strokes("(RR)> L")) == 3


@pytest.mark.parametrize("text", ["", "R X L", "-R", "lr", "(RL)", "R )"])
def test_what_is_no_sticking_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no sticking"):
        strokes(text)


@pytest.mark.parametrize("rudiment", ALL, ids=lambda each: each.id)
def test_both_leads_are_each_others_mirror(rudiment: Rudiment) -> None:
    right, left = halves(both_leads(rudiment.sticking))
    assert halves(rudiment.sticking)[0] == right
    assert left.replace(" ", "") == right.translate(MIRROR).replace(" ", "")
    assert slots(left) == slots(right)
