"""Metres, cells, cross-rhythms, timelines and groupings against arithmetic, music21 and published patterns."""

import itertools
import re
from fractions import Fraction
from itertools import pairwise
from math import lcm

import pytest
from music21.duration import Duration
from music21.meter import TimeSignature

from tests.plugins.musicianship.loaded import Row, choices

NAMES = {
    "eighth": "{term.quaver}",
    "16th": "{term.semiquaver}",
    "quarter": "{term.crotchet}",
    "half": "{term.minim}",
    "whole": "{term.semibreve}",
}
HANDS = {
    2: ["down, up"],
    3: ["down, out, up"],
    4: ["down, in, out, up"],
    5: ["down, in, in, out, up", "down, in, out, out, up"],
    6: ["down, in, in, out, out, up"],
}
"""Two, three and four: G. Lamb, The Conducting Beat Patterns, OpenStax CNX m20804 (first down, last up, second
outwards in three and inwards in four). Five and six by the older pattern that grows from four (common practice,
no source)."""


def onsets(grid: str) -> list[int]:
    return [place for place, sign in enumerate(grid) if sign == "x"]


def steps(grid: str) -> list[int]:
    """From each stroke to the next, round."""
    places = onsets(grid)
    return [
        (after - before) % len(grid) for before, after in zip(places, [*places[1:], places[0]], strict=True)
    ]


def spread_evenly(strokes: int, slots: int) -> set[str]:
    """All rotations of the Euclidean rhythm: a stroke where the multiples of strokes/slots pass a whole number."""
    grid = "".join("x" if place * strokes % slots < strokes else "." for place in range(slots))
    return {grid[turn:] + grid[:turn] for turn in range(slots)}


@pytest.mark.parametrize("given", choices("metre"), ids=lambda given: given["name"])
def test_metres_have_the_beats_that_music21_counts(given: Row) -> None:
    signature = TimeSignature(given["signature"])
    assert given["label"].startswith(given["signature"])
    whole_count = given["name"] == "6-8-in-six" or given["signature"] == "5/4"
    assert given["beats"] == (signature.numerator if whole_count else signature.beatCount)
    counted = [int(number) for number in re.findall(r"\d", given["count"].split(", strong")[0])]
    assert counted == list(range(1, given["beats"] + 1))
    assert given["hand"] in HANDS[given["beats"]]


@pytest.mark.parametrize("given", choices("metre"), ids=lambda given: given["name"])
def test_a_metre_says_how_its_beats_divide(given: Row) -> None:
    if "strong" not in given["count"]:
        division = TimeSignature(given["signature"]).beatDivisionCount
        syllables = {2: "and", 3: "and a"}[division]
        assert given["count"] == ", ".join(f"{beat} {syllables}" for beat in range(1, given["beats"] + 1))


def test_five_is_beaten_as_it_is_grouped() -> None:
    """The hand changes sides where the second group begins."""
    for given in choices("metre"):
        if given["signature"] == "5/4":
            first = int(given["label"].split(" as ")[1][0])
            strong = int(given["count"].rsplit(" ", 1)[1])
            assert strong == first + 1
            assert given["hand"].split(", ").index("out") == first
            assert given["count"].startswith(" ".join(str(n) for n in range(1, first + 1)) + ",")


@pytest.mark.parametrize("given", choices("cell"), ids=lambda given: given["name"])
def test_cells_are_counted_where_their_strokes_fall(given: Row) -> None:
    assert len(given["grid"]) == 4
    assert given["label"] == "-".join(["1", "e", "and", "a"][place] for place in onsets(given["grid"]))


@pytest.mark.parametrize("given", choices("cell"), ids=lambda given: given["name"])
def test_cells_have_the_note_values_of_music21(given: Row) -> None:
    """Four slots are a crotchet; each stroke lasts until the next, or to the end of the beat."""
    places = [*onsets(given["grid"]), 4]
    lengths = [Duration(Fraction(after - before, 4)) for before, after in pairwise(places)]
    words = ["dotted " * length.dots + NAMES[length.type] for length in lengths]
    values = given["values"]
    if given["grid"][0] == ".":
        assert values == f"one {words[0]} after a rest"
    elif len(set(words)) == 1:
        assert values == f"{ {2: 'two', 4: 'four'}[len(words)] } {words[0].replace('}', 's}')}"
    elif len(words) == 2:
        assert values == f"one {words[0]} before one {words[1]}"
    else:
        two = words[1].replace("}", "s}") if words[1] == words[2] else words[0].replace("}", "s}")
        one = words[0] if words[1] == words[2] else words[2]
        expected = f"one {one} before two {two}" if words[1] == words[2] else f"two {two} before one {one}"
        if words[0] == words[2]:
            expected = f"one {words[1]} between two {words[0].replace('}', 's}')}"
        assert values == expected


@pytest.mark.parametrize("given", choices("division"), ids=lambda given: given["name"])
def test_divisions_are_counted_with_as_many_syllables(given: Row) -> None:
    in_words = ["one", "two", "three", "four", "five", "six"]
    assert given["name"] == in_words[given["notes"] - 1]
    assert given["label"] == given["name"].replace("six", "sixe") + "s"
    syllables = {1: "", 2: " and", 3: " and a", 4: " e and a"}
    if given["notes"] in syllables:
        assert given["count"] == ", ".join(f"{beat}{syllables[given['notes']]}" for beat in range(1, 5))
    elif given["notes"] == 5:
        assert len(given["count"].rsplit(" ", 1)[1].split("-")) == 5


@pytest.mark.parametrize("given", choices("syncopation"), ids=lambda given: given["name"])
def test_syncopations_are_clapped_outside_the_brackets(given: Row) -> None:
    claps, inside = [], False
    for word in given["count"].split():
        inside = inside or word.startswith("(")
        claps.append("." if inside else "x")
        inside = inside and not word.endswith(")")
    assert "".join(claps) == given["grid"]
    said = re.sub(r"[()]", "", given["count"])
    assert said == "1 and 2 and 3 and 4 and"


@pytest.mark.parametrize("given", choices("cross-rhythm"), ids=lambda given: given["name"])
def test_hands_meet_where_the_least_common_multiple_says(given: Row) -> None:
    right, left = given["right"], given["left"]
    assert given["label"] == f"{right} against {left}"
    slots = lcm(right, left)
    assert given["slots"] == slots
    order = []
    for slot in range(slots):
        strikes = (slot % (slots // right) == 0, slot % (slots // left) == 0)
        order += {(True, True): ["together"], (True, False): ["right"], (False, True): ["left"]}.get(
            strikes, []
        )
    assert given["order"] == ", ".join(order)


@pytest.mark.parametrize("given", choices("metre-pair"), ids=lambda given: given["name"])
def test_two_metres_meet_where_the_least_common_multiple_says(given: Row) -> None:
    """Counted through quaver by quaver: which number is said when a tapped bar begins."""
    spoken, tapped = given["spoken"], given["tapped"]
    words = {3: "three", 4: "four", 5: "five", 7: "seven"}
    assert given["label"] == f"{spoken} over {tapped}"
    assert given["name"] == f"{words[spoken]}-over-{words[tapped]}"
    assert given["quavers"] == lcm(spoken, tapped)
    said = itertools.cycle(range(1, spoken + 1))
    under = itertools.cycle([True] + [False] * (tapped - 1))
    numbers = [number for _, number, tap in zip(range(given["quavers"]), said, under, strict=False) if tap]
    assert given["taps"] == ", ".join(str(number) for number in numbers)
    assert next(said) == next(under) == 1


def test_five_counted_over_four_tapped() -> None:
    """Worked by hand: 1-2-3-4, 5-1-2-3, 4-5-1-2, 3-4-5-1, 2-3-4-5."""
    (given,) = [each for each in choices("metre-pair") if each["name"] == "five-over-four"]
    assert given["taps"] == "1, 5, 4, 3, 2"


@pytest.mark.parametrize("given", choices("timeline"), ids=lambda given: given["name"])
def test_timelines_add_up(given: Row) -> None:
    assert len(given["grid"]) == given["slots"]
    assert given["steps"] == "-".join(str(step) for step in steps(given["grid"]))


def test_timelines_are_the_published_ones() -> None:
    """Son clave: onsets 0, 3, 6, 10, 12 of 16 (G. Toussaint, A Mathematical Analysis of African, Brazilian and
    Cuban Clave Rhythms, Bridges 2002). Tresillo and cinquillo: three and five strokes spread evenly over eight
    (the same author, The Euclidean Algorithm Generates Traditional Musical Rhythms, Bridges 2005). Rumba and
    bossa-nova: third, and last, stroke of the son clave one slot later (from memory, the same papers).
    """
    grids = {given["name"]: given["grid"] for given in choices("timeline")}
    assert onsets(grids["son-clave"]) == [0, 3, 6, 10, 12]
    assert grids["tresillo"] in spread_evenly(3, 8)
    assert grids["cinquillo"] in spread_evenly(5, 8)
    assert grids["bossa-nova"] in spread_evenly(5, 16)
    assert onsets(grids["rumba-clave"]) == [0, 3, 7, 10, 12]
    assert onsets(grids["bossa-nova"]) == [0, 3, 6, 10, 13]
    # A dotted quaver, a semiquaver and two quavers (common practice, no source).
    assert onsets(grids["habanera"]) == [0, 3, 4, 6]


@pytest.mark.parametrize("given", choices("grouping"), ids=lambda given: given["name"])
def test_groups_add_up_to_the_bar(given: Row) -> None:
    groups = [int(each) for each in given["label"].split(" as ")[1].split(" + ")]
    signature = TimeSignature(given["signature"])
    assert sum(groups) == signature.numerator == given["quavers"]
    assert signature.denominator == 8
    assert given["count"] == ", ".join(" ".join(str(n) for n in range(1, each + 1)) for each in groups)
    assert given["label"].startswith(given["signature"])


@pytest.mark.parametrize("given", choices("change"), ids=lambda given: given["name"])
def test_changing_metres_add_up_in_quavers(given: Row) -> None:
    lengths = [TimeSignature(each).barDuration.quarterLength for each in given["label"].split("-")]
    assert given["quavers"] == 2 * sum(lengths)


@pytest.mark.parametrize("given", choices("bar-metre"), ids=lambda given: given["name"])
def test_bars_hold_as_many_quavers_as_music21_says(given: Row) -> None:
    assert given["quavers"] == 2 * TimeSignature(given["label"]).barDuration.quarterLength


@pytest.mark.parametrize("given", choices("note-value"), ids=lambda given: given["name"])
def test_note_values_last_as_many_quavers_as_music21_says(given: Row) -> None:
    length = Duration(Fraction(given["quavers"], 2))
    plain = "{term.dotted_crotchet}" if (length.type, length.dots) == ("quarter", 1) else None
    assert given["label"] == f"a {plain or 'dotted ' * length.dots + NAMES[length.type]}"


@pytest.mark.parametrize("given", choices("rhythm-line"), ids=lambda given: given["name"])
def test_lines_to_read_have_the_beats_of_their_metre(given: Row) -> None:
    signature = re.search(r"\d+/\d+", given["label"])
    assert signature is not None
    assert given["beats"] == TimeSignature(signature[0]).beatCount


@pytest.mark.parametrize("given", choices("gap"), ids=lambda given: given["name"])
def test_gaps_say_how_many_bars_are_clicked_and_how_many_silent(given: Row) -> None:
    assert given["label"] == f"{given['clicked']} + {given['silent']}"
    words = {1: "one", 2: "two", 3: "three", 4: "four", 7: "seven"}
    assert given["name"] == f"{words[given['clicked']]}-and-{words[given['silent']]}"
