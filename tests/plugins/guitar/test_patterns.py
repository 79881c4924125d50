"""Patterns of fingers and strokes: complete where they claim to be, and what they say of themselves is so."""

import itertools

import pytest

from tests.plugins.guitar.frets import POSITIONS
from tests.plugins.guitar.loaded import Row, choices


def test_alternation_has_every_pair_of_fingers() -> None:
    # i, m and a: Wikipedia, "Classical guitar technique" (copy at alchetron.com).
    assert set(choices("alternation")) == {"-".join(pair) for pair in itertools.permutations("ima", 2)}


def test_three_fingers_come_in_every_order() -> None:
    assert set(choices("three-fingers")) == {"-".join(order) for order in itertools.permutations("ima")}


@pytest.mark.parametrize("row", choices("slur-chain").values(), ids=lambda row: row["name"])
def test_a_chain_has_hammer_ons_and_pull_offs(row: Row) -> None:
    steps = itertools.pairwise(int(finger) for finger in row["label"].split("-"))
    ways = ["hammer" if high > low else "pull" for low, high in steps]
    assert row["ways"] == ", ".join(ways)
    assert len(ways) == 3
    assert set(ways) == {"hammer", "pull"}
    # The pitches of the exercise go from finger 1 to finger 4.
    assert {"1", "4"} <= set(row["label"].split("-"))


def test_chains_of_slurs_have_every_pair_both_ways() -> None:
    pairs = {pair for chain in choices("slur-chain") for pair in itertools.pairwise(chain.split("-"))}
    assert pairs == set(itertools.permutations("1234", 2))


def test_the_orders_of_four_fingers_are_twenty_four() -> None:
    assert list(choices("finger-order")) == ["-".join(order) for order in itertools.permutations("1234")]


def test_pairs_of_fingers_are_all_and_know_their_frets() -> None:
    rows = choices("finger-pair")
    assert list(rows) == ["-".join(pair) for pair in itertools.combinations("1234", 2)]
    for row in rows.values():
        low, high = (int(finger) for finger in row["label"].split("-"))
        assert row["back"] == f"{high}-{low}"
        assert (row["first"], row["frets"]) == (low - 1, high - low)


@pytest.mark.parametrize("row", choices("arpeggio").values(), ids=lambda row: row["name"])
def test_an_arpeggio_begins_with_the_thumb_and_repeats_no_finger(row: Row) -> None:
    fingers = row["label"].split("-")
    assert fingers[0] == "p"
    assert set(fingers[1:]) <= set("ima")
    # Over and over, no finger comes twice running.
    assert all(a != b for a, b in itertools.pairwise([*fingers, fingers[0]]))
    assert row["notes"] == len(fingers)
    assert len(fingers) % row["notes_per_beat"] == 0
    words = {3: "three notes to the beat", 4: "four notes to the beat"}
    assert row["beat"] == words[row["notes_per_beat"]]


@pytest.mark.parametrize("row", choices("strum").values(), ids=lambda row: row["name"])
def test_the_arm_goes_down_on_the_beat_and_up_between(row: Row) -> None:
    strokes = row["pattern"].split(" ")
    assert len(strokes) == 2 * row["beats"]
    assert set(strokes[::2]) <= {"D", "-"}
    assert set(strokes[1::2]) <= {"U", "-"}
    assert set(strokes) != {"-"}


def test_strumming_patterns_are_what_their_names_say() -> None:
    strokes = {name: row["pattern"].split(" ") for name, row in choices("strum").items()}
    assert len({tuple(each) for each in strokes.values()}) == len(strokes)
    assert "U" not in strokes["beats"] + strokes["waltz-beats"]
    assert "-" not in strokes["down-up"]
    assert "D" not in strokes["off-beats"]
    downs = {name: each[::2] for name, each in strokes.items()}
    assert downs["missed-three"] == ["D", "D", "-", "D"]
    assert downs["missed-two-three"] == ["D", "-", "-", "D"]
    assert [place for place, stroke in enumerate(strokes["after-two"][1::2], 1) if stroke == "U"] == [2, 4]
    assert strokes["and-of-four"].count("U") == 1
    assert strokes["and-of-four"][-1] == "U"


@pytest.mark.parametrize("row", choices("metre").values(), ids=lambda row: row["name"])
def test_bass_and_strum_fill_the_bar(row: Row) -> None:
    beats, unit = (int(number) for number in row["label"].split("/"))
    words = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}
    assert row["name"] == f"{words[beats]}-{words[unit]}"
    if unit == 8:
        # Compound: three quavers to a beat.
        assert row["beats"] == beats // 3
        assert row["pattern"] == "two beats, each bass, strum, strum"
        return
    parts = row["pattern"].split(", ")
    assert row["beats"] == beats == len(parts)
    assert parts[0] == "bass"
    assert set(parts) <= {"bass", "other bass", "strum"}


@pytest.mark.parametrize(
    "name",
    ["alternation", "three-fingers", "finger-order", "finger-pair", "slur-chain", "arpeggio", "rasgueado"],
)
def test_patterns_are_called_by_their_fingers(name: str) -> None:
    assert all(row["label"] == row["name"] for row in choices(name).values())


def test_fingers_are_labelled_by_their_number() -> None:
    assert {name: row["label"] for name, row in choices("finger").items()} == {
        f"finger-{finger}": f"finger {finger}" for finger in (1, 2, 3, 4)
    }


@pytest.mark.parametrize("row", choices("rasgueado").values(), ids=lambda row: row["name"])
def test_strokes_of_a_rasgueado(row: Row) -> None:
    fingers = row["label"].split("-")
    assert row["strokes"] == len(fingers)
    names = {"e": "little finger", "p": "thumb"}
    said = row["motion"].replace(" and ", ", ").split(", ")
    assert [words.removesuffix(" down").removesuffix(" up") for words in said] == [
        names.get(finger, finger) for finger in fingers
    ]


@pytest.mark.parametrize("row", choices("shift").values(), ids=lambda row: row["name"])
def test_a_change_of_position_goes_between_the_frets_of_its_numerals(row: Row) -> None:
    low, high = row["label"].split(" to ")
    assert (POSITIONS[row["from_fret"]], POSITIONS[row["to_fret"]]) == (low, high)
    assert row["from_fret"] < row["to_fret"] <= 12


@pytest.mark.parametrize("row", choices("picking").values(), ids=lambda row: row["name"])
def test_picking_strokes(row: Row) -> None:
    strokes = row["strokes"].split(" ")
    alternating = all(a != b for a, b in itertools.pairwise(strokes))
    assert alternating == row["label"].startswith("alternate")
    assert (strokes[0] == "U") == row["label"].endswith(" up")
    assert alternating or row["label"] == "down strokes"


def test_crossing_outside_and_inside() -> None:
    # Outside: the stroke after the lower string goes down, away from the higher one; inside the other way round.
    rows = choices("crossing")
    assert rows["outside"]["strokes"] == "D on string 3, U on string 2"
    assert rows["inside"]["strokes"] == "U on string 3, D on string 2"
    assert rows["skipping"]["strokes"] == "D on string 4, U on string 2"


@pytest.mark.parametrize("row", choices("bass-pair").values(), ids=lambda row: row["name"])
def test_two_basses_in_turn_for_four_bars(row: Row) -> None:
    first, second = row["label"].removeprefix("string ").split(" to ")
    assert row["way"].split(", ") == [first, second] * 2


@pytest.mark.parametrize("row", choices("reach-fret").values(), ids=lambda row: row["name"])
def test_reaches_are_labelled_by_their_fret(row: Row) -> None:
    assert row["label"] == f"fret {row['fret']}"


def test_reaches_begin_where_frets_are_closest() -> None:
    # The order of a list is the order of playing: from the body, where the reach is smallest, towards the nut.
    frets = [row["fret"] for row in choices("reach-fret").values()]
    assert frets == sorted(frets, reverse=True)


def test_positions_are_roman_numerals() -> None:
    for name, row in choices("position").items():
        assert row["label"] == f"position {POSITIONS[int(name.removeprefix('position-'))]}"
