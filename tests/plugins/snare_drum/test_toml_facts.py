"""The facts in TOML against the published rudiments, arithmetic, and music21's note lengths."""

import math
import re
from collections import Counter
from fractions import Fraction

import pytest
from bagatelle_snare_drum.rudiments import rudiments
from bagatelle_snare_drum.sticking import halves, slots, strokes
from music21.duration import Duration

from tests.plugins.snare_drum.in_toml import Row, choices, entries, exercise, instruments
from tests.plugins.snare_drum.lengths import slug
from tests.plugins.snare_drum.published import MEMORY, PUBLISHED, SECONDARY
from tests.plugins.snare_drum.toml_lengths import full_name

MIRROR = str.maketrans("RLrl", "LRlr")
PUBLISHED_BY_SLUG = {slug(each.name): each for each in PUBLISHED}
OURS = {each.id: each for each in rudiments()}
# The American names of music21's durations.
MUSIC21_NAMES = {
    "quaver": ("eighth", 0),
    "crotchet": ("quarter", 0),
    "dotted-crotchet": ("quarter", 1),
    "minim": ("half", 0),
    "dotted-minim": ("half", 1),
    "semibreve": ("whole", 0),
}


def rows(name: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", choices(name).values(), ids=lambda row: row["name"])


def signs(sticking: str) -> str:
    """Hands, grace notes and accents alone, as the published list has them."""
    return re.sub(r"[^RLrl>]", "", sticking)


def hands(sticking: str) -> str:
    return re.sub(r"[^RL]", "", sticking)


def is_published(name: str, sticking: str) -> bool:
    """Whether a sticking is that of the list; a left-hand lead after | is the right one's mirror."""
    published = signs(PUBLISHED_BY_SLUG[name].sticking)
    lead, *other = halves(sticking)
    mirrored = all(signs(half) == signs(lead.translate(MIRROR)) for half in other)
    return mirrored and published in {signs(lead), signs(sticking)}


@rows("combination")
def test_what_is_joined_are_published_rudiments(row: Row) -> None:
    names = [slug(full_name(name)) for name in row["label"].split(" to ")]
    parts = row["sticking"].split("; then ")
    total = 0
    for name, part in zip(names, parts, strict=True):
        sticking = part.removesuffix(", twice")
        assert is_published(name, sticking), (name, sticking)
        # Both are held as they are in the rudiment alone, in the same note value.
        assert slots(sticking) == OURS[name].slots
        assert OURS[name].notes_per_beat == row["to_the_beat"]
        total += slots(sticking) * (2 if part != sticking else 1)
    assert total == row["slots"]
    assert Fraction(row["slots"], row["to_the_beat"]) % 4 == 0, "whole bars of 4/4"


@rows("six-eight")
def test_rudiments_in_six_eight_fill_its_beats(row: Row) -> None:
    name = row["name"].removesuffix("-in-six-eight")
    assert slug(row["label"]) == name
    assert is_published(name, row["sticking"])
    assert slots(row["sticking"]) == row["slots"]
    # Three quavers to each of the two beats.
    assert row["slots"] % 3 == 0


@rows("left-lead")
def test_a_left_lead_mirrors_the_published_sticking(row: Row) -> None:
    name = row["name"].removesuffix("-mirrored")
    assert slug(row["label"]) == name
    assert is_published(name, row["sticking"].translate(MIRROR))
    assert strokes(row["sticking"])[0].hand == "L"
    assert (slots(row["sticking"]), row["to_the_beat"]) == (row["slots"], OURS[name].notes_per_beat)
    # It never changes the hand that leads: the list has one lead alone, and once round it is the same hand again.
    assert len(halves(OURS[name].sticking)) == 1


@rows("shifted")
def test_an_accent_is_moved_through_every_stroke_of_a_turn(row: Row) -> None:
    name = row["name"].removeprefix("moved-through-")
    assert slug(row["label"]) == name
    assert hands(row["sticking"]) == hands(PUBLISHED_BY_SLUG[name].sticking)
    assert row["strokes"] == len(hands(row["sticking"]))
    assert row["places"] == len(hands(halves(row["sticking"])[0]))
    assert row["to_the_beat"] == OURS[name].notes_per_beat


def test_inversions_are_the_turns_of_the_single_paradiddle() -> None:
    # Common practice, no source: four of them. Each begins one stroke further, and then with the right hand.
    paradiddle = hands(PUBLISHED_BY_SLUG["single-paradiddle"].sticking)
    turns = [paradiddle[start:] + paradiddle[:start] for start in range(4)]
    from_the_right = [turn if turn[0] == "R" else turn.translate(MIRROR) for turn in turns]
    found = {row["name"]: hands(row["sticking"]) for row in choices("paradiddle-turn").values()}
    assert sorted(found.values()) == sorted(from_the_right)
    doubles = {name: [at for at in range(7) if text[at] == text[at + 1]] for name, text in found.items()}
    assert (doubles["end"][0], doubles["middle"][0], doubles["beginning"][0]) == (2, 1, 0)
    assert doubles["across"] == [3]


@rows("step-figure")
def test_what_is_stepped_to(row: Row) -> None:
    of_list = {"singles": "single-stroke-roll", "paradiddles": "single-paradiddle", "taps": "flam-tap"}
    published = PUBLISHED_BY_SLUG[of_list[row["name"]]].sticking.replace(">", "")
    assert signs(row["sticking"]) == signs(published) * (len(hands(row["sticking"])) // len(hands(published)))


@pytest.mark.parametrize("name", ["roll-length", "roll-value"])
def test_beats_of_note_values(name: str) -> None:
    for row in choices(name).values():
        kind, dots = MUSIC21_NAMES[row["name"]]
        assert Duration(type=kind, dots=dots).quarterLength == row["beats"]


def test_strokes_of_open_rolls_are_those_of_the_rolls_by_name() -> None:
    # Two to each semiquaver of the hands, and the one it lands on; the list has the numbers by name.
    numbers = {5: "five", 9: "nine", 13: "thirteen", 17: "seventeen"}
    for name in ("roll-value", "roll-start"):
        for row in choices(name).values():
            assert row["strokes"] == row["beats"] * 4 * 2 + 1
    assert {row["strokes"] for row in choices("roll-value").values()} == set(numbers)
    for row in choices("roll-start").values():
        named = re.search(r"a (\w+) stroke roll", row["shown"])
        assert (named[1] if named else None) == numbers.get(row["strokes"])
    for count, word in numbers.items():
        assert len(hands(PUBLISHED_BY_SLUG[f"{word}-stroke-roll"].sticking)) in {count, 2 * count}


@rows("roll-start")
def test_a_roll_lasts_to_the_next_one(row: Row) -> None:
    begins = {"one": 1, "two": 2, "three": 3, "four": 4, "and-of-four": 4.5}[row["name"]]
    assert begins + row["beats"] == 5


@rows("polyrhythm")
def test_places_of_hands_and_foot(row: Row) -> None:
    grid = math.lcm(row["hands"], row["foot"])
    places = [
        " ".join(str(place + 1) for place in range(0, grid, grid // count))
        for count in (row["hands"], row["foot"])
    ]
    assert row["shown"] == f"of {grid} the hands take {places[0]} and the foot {places[1]}"
    assert row["label"] == f"{row['hands']}:{row['foot']}"


@rows("metre-change")
def test_quavers_of_a_change_of_metre(row: Row) -> None:
    signatures = row["label"].split(" and ")
    assert row["quavers"] == sum(Fraction(each) for each in signatures) * 8
    assert row["name"] == "-".join(each.replace("/", "-") for each in signatures)


@rows("accent-group")
def test_groups_fill_half_a_bar_or_a_bar(row: Row) -> None:
    assert sum(int(each) for each in row["label"].split("+")) == row["strokes"]
    assert 16 % row["strokes"] == 0
    assert row["name"] == row["label"].replace("+", "-")


@rows("count-down")
def test_strokes_of_the_count_down(row: Row) -> None:
    down = list(range(8, 0, -1))
    counts = down + (down[-2::-1] if row["name"] == "down-and-up" else [])
    assert row["strokes"] == 2 * sum(counts)


@rows("rods")
def test_every_rod_is_turned_once_and_then_the_opposite_one(row: Row) -> None:
    order = [int(each) for each in row["order"].split(", ")]
    count = {"six": 6, "eight": 8, "ten": 10}[row["name"]]
    assert sorted(order) == list(range(1, count + 1))
    for first, second in zip(order[::2], order[1::2], strict=True):
        assert abs(first - second) == count // 2


@rows("written-family")
def test_how_many_rudiments_a_family_has(row: Row) -> None:
    families = Counter(f"{each.family}s" for each in PUBLISHED)
    assert row["rudiments"] == families[row["name"]]


def test_what_is_only_recalled_says_so() -> None:
    """An exercise that names a rudiment of which the sticking is not verified has the source that says so."""
    lists = {
        "left-hand-lead": ("left-lead", None),
        "six-eight": ("six-eight", None),
        "diddle-combinations": ("combination", "pairs"),
        "flam-combinations": ("combination", "pairs"),
        "drag-combinations": ("combination", "pairs"),
    }
    for name, (list_name, setting) in lists.items():
        entry = entries()[name]
        only = entry["settings"][setting]["only"] if setting else list(choices(list_name))
        labels = [choices(list_name)[value]["label"] for value in only]
        named = {slug(full_name(part)) for label in labels for part in label.split(" to ")}
        statuses = {PUBLISHED_BY_SLUG[each].status for each in named}
        assert (MEMORY in statuses) == ("rudiments-recalled" in entry["sources"]), name
        assert (SECONDARY in statuses) == ("rudiments-secondary" in entry["sources"]), name


# Laws of the whole


def test_how_many_there_are() -> None:
    everything = instruments().exercises
    assert len(everything) >= 42
    assert len({each.area for each in everything}) >= 8
    levels = {"beginner", "elementary", "intermediate", "advanced", "professional"}
    assert {each.level for each in everything} == levels


def test_the_stand_in_is_still_the_one() -> None:
    assert [each.id for each in instruments().exercises if each.warm_up_stand_in] == ["snare-drum.warm-up"]


@pytest.mark.parametrize("name", entries())
def test_what_strains_or_is_loud_carries_its_caution(name: str) -> None:
    made = exercise(name)
    assert ("snare-drum.caution.hands" in made.cautions) == (made.strain == "high")
    assert ("snare-drum.caution.hearing" in made.cautions) == (made.loudness == "loud")
    assert made.strain != "high" or made.daily_cap_seconds is not None
    # NIOSH Publication 98-126: 85 dBA for 8 hours, 3 dB exchange (verified).
    facts = [each.fact for each in made.sources if each.source == "NIOSH Publication 98-126"]
    figures = ["85 dBA for 8 hours, halved for each 3 dB more"]
    assert facts == (figures if made.loudness == "loud" else [])


@pytest.mark.parametrize("name", entries())
def test_what_is_loud_on_the_drum_is_not_on_the_pad(name: str) -> None:
    made = exercise(name)
    surfaces = made.settings_schema["properties"].get("surface", {}).get("enum", ())
    for surface in surfaces:
        found = instruments().material(made.id, {**made.defaults, "surface": surface}).loudness
        assert (found or made.loudness) == ("moderate" if surface == "pad" else made.loudness)


@pytest.mark.parametrize("name", entries())
def test_a_soft_form_makes_no_sound_and_needs_no_drum(name: str) -> None:
    made = exercise(name)
    if made.soft_form is None:
        # Tuning is soft and needs the drum; what is written or said needs none and is silent anyhow.
        assert made.strain == "none"
        assert made.loudness in {"silent", "soft"}
    else:
        assert (made.soft_form.loudness, made.soft_form.needs_instrument) == ("silent", False)
