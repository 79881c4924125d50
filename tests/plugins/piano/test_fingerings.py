"""Fingerings against a handbook table, and the laws that any sound fingering keeps."""

from itertools import pairwise
from typing import NamedTuple

import pytest
from bagatelle_piano.chords import arpeggio_fingering, chord_notes
from bagatelle_piano.fingerings import Fingering, Hand, fingering, fingers_of_run, hand
from bagatelle_piano.keys import Mode, key_names
from bagatelle_piano.pitches import Note, climb, is_black, spelling_of
from bagatelle_piano.scales import (
    CHROMATIC_SECOND_FINGERS,
    STARTING_NOTES,
    Form,
    chromatic_notes,
    scale_fingering,
    scale_notes,
)
from hypothesis import given
from hypothesis import strategies as st

from tests.plugins.piano.loaded import details, material

# Key: right hand one octave, left hand one octave, right hand two, left hand two; all going up.
# One octave: musicteacherguide.com, "Piano Major Scales" (read there). Two octaves of C G D A E B: a table of
# all twelve major scales at pdfcoffee.com (read there); of the others: continued by the same cycle. Handbooks
# with the same sets: Hanon, The Virtuoso Pianist, no. 39; Cooke, Mastering the Scales and Arpeggios, 1913
# (both from memory).
HANDBOOK = {
    "C": ("12312345", "54321321", "123123412312345", "543213214321321"),
    "G": ("12312345", "54321321", "123123412312345", "543213214321321"),
    "D": ("12312345", "54321321", "123123412312345", "543213214321321"),
    "A": ("12312345", "54321321", "123123412312345", "543213214321321"),
    "E": ("12312345", "54321321", "123123412312345", "543213214321321"),
    "B": ("12312345", "43214321", "123123412312345", "432143213214321"),
    "Cb": ("12312345", "43214321", "123123412312345", "432143213214321"),
    "F#": ("23412312", "43213214", "234123123412312", "432132143213214"),
    "Gb": ("23412312", "43213214", "234123123412312", "432132143213214"),
    "Db": ("23123412", "32143213", "231234123123412", "321432132143213"),
    "C#": ("23123412", "32143213", "231234123123412", "321432132143213"),
    "Ab": ("34123123", "32143213", "341231234123123", "321432132143213"),
    "Eb": ("31234123", "32143213", "312341231234123", "321432132143213"),
    "Bb": ("21231234", "32143213", "212312341231234", "321432132143213"),
    "F": ("12341234", "54321321", "123412312341234", "543213214321321"),
}
FORMS: dict[Mode, tuple[Form, ...]] = {"major": ("major",), "minor": ("natural", "harmonic", "melodic")}
SCALES = [(key, form) for mode in FORMS for key in key_names(mode) for form in FORMS[mode]]


class Written(NamedTuple):
    right: str
    left: str


@pytest.mark.parametrize("key", key_names("major"))
def test_major_scales_are_the_handbook_s(key: str) -> None:
    one, two = (compact(fingering("major", key), octaves) for octaves in (1, 2))
    assert (one.right, one.left, two.right, two.left) == HANDBOOK[key]


@pytest.mark.parametrize(("key", "form"), SCALES)
@pytest.mark.parametrize("octaves", [1, 2, 4])
def test_scales_keep_the_laws_both_ways(key: str, form: Form, octaves: int) -> None:
    notes = scale_notes(spelling_of(key), form, 2, octaves)
    up, down = scale_fingering(key, form)
    rising, falling = notes[: 7 * octaves + 1], notes[: 7 * octaves - 1 : -1]
    keeps_laws(rising, compact(up, octaves))
    keeps_laws(falling, compact(down or up, octaves))
    # The top note is played once, so both directions must agree on its finger.
    assert compact(up, octaves).right[-1] == compact(down or up, octaves).right[-1]
    assert compact(up, octaves).left[-1] == compact(down or up, octaves).left[-1]


def keeps_laws(rising: tuple[Note, ...], fingers: Written) -> None:
    for played in fingers:
        assert len(played) == len(rising)
        for note, finger in zip(rising, played, strict=True):
            assert not (finger == "1" and is_black(note.fifths)), note.name
    # Right: the next finger, or the thumb under 2, 3 or 4, or, after the thumb at the very top, any finger.
    # Left: the mirror of it.
    assert all(b - a == 1 or (b == 1 and a in {2, 3, 4}) for a, b in pairs(fingers.right)[:-1])
    a, b = pairs(fingers.right)[-1]
    assert b - a == 1 or (b == 1 and a in {2, 3, 4}) or (a == 1 and b == 3)
    assert all(b - a == -1 or (a == 1 and b in {2, 3, 4}) for a, b in pairs(fingers.left))


@pytest.mark.parametrize(("key", "form"), SCALES)
def test_fourth_finger_keeps_to_one_degree(key: str, form: Form) -> None:
    """Inside a run the fourth finger comes round once an octave; first and last notes may differ."""
    for each in (each for each in scale_fingering(key, form) if each):
        for fingers in compact(each, 4):
            degrees = {index % 7 for index, finger in enumerate(fingers[1:-1], 1) if finger == "4"}
            assert len(degrees) == 1


# Degree of the fourth finger inside an octave; the same source as HANDBOOK. Seventh degree is 6, from 0.
@pytest.mark.parametrize("key", ["C", "G", "D", "A", "E"])
def test_fourth_finger_in_the_keys_that_share_c_major_s_fingering(key: str) -> None:
    two = compact(fingering("major", key), 2)
    assert [index for index, finger in enumerate(two.right) if finger == "4"] == [6, 13]
    assert [index % 7 for index, finger in enumerate(two.left) if finger == "4"] == [1, 1]


@pytest.mark.parametrize(("kind", "mode"), [("major", "major"), ("minor", "minor")])
def test_triads_keep_the_thumb_off_black_keys(kind: str, mode: Mode) -> None:
    for key in key_names(mode):
        triad = chord_notes(spelling_of(key), mode, "root")
        fingers = compact(arpeggio_fingering(triad, kind, "root"), 2)
        all_black = all(is_black(each) for each in triad)
        for played in fingers:
            assert len(played) == 7
            for note, finger in zip(climb(triad, 3, 6), played, strict=True):
                assert all_black or finger != "1" or not is_black(note.fifths), key
        # Fingers rise with the notes in the right hand but for the pass of the thumb; the left is the mirror.
        assert all(b > a or b == 1 or a == 1 for a, b in pairs(fingers.right))
        assert all(b < a or a == 1 for a, b in pairs(fingers.left))


def test_only_sevenths_from_white_keys_have_a_fingering() -> None:
    from_g = chord_notes(spelling_of("C"), "dominant-seventh", "root")
    from_b_flat = chord_notes(spelling_of("Eb"), "dominant-seventh", "root")
    two = arpeggio_fingering(from_g, "dominant-seventh", "root")
    assert two is not None
    assert (two.right.written(2), two.left.written(2)) == ("1234 12345", "5432 14321")
    assert arpeggio_fingering(from_b_flat, "dominant-seventh", "root") is None
    assert arpeggio_fingering(from_g, "dominant-seventh", "first-inversion") is None


@pytest.mark.parametrize("start", STARTING_NOTES)
@pytest.mark.parametrize("second", CHROMATIC_SECOND_FINGERS.values(), ids=CHROMATIC_SECOND_FINGERS)
def test_no_finger_comes_twice_running_in_a_chromatic_scale(start: str, second: tuple[str, str]) -> None:
    """3 on black keys and 1 on white ones would meet twice where two white keys are neighbours."""
    rising = chromatic_notes(spelling_of(start), 3, 2)[:25]
    fingers = [3 if is_black(note.fifths) else 2 if note.name[:-1] in second else 1 for note in rising]
    assert all(a != b for a, b in pairwise(fingers))


FINGERS = st.text("12345", min_size=1, max_size=1)
HANDS = st.builds(Hand, FINGERS, st.text("12345", min_size=2, max_size=12), FINGERS)


@given(HANDS, st.integers(1, 4))
def test_back_is_the_same_run_from_its_other_end(one: Hand, octaves: int) -> None:
    there, back = (each.written(octaves).replace(" ", "") for each in (one, one.back()))
    assert back == there[::-1]
    assert one.back().back() == one


def test_a_short_run_is_written_out_and_a_long_one_is_an_octave_and_its_end() -> None:
    lines = {
        octaves: details(material("piano.major-scale", keys=["C"], octaves=octaves))["C"]
        for octaves in range(1, 5)
    }
    assert lines[1] == "right hand 12312345; left hand 54321321"
    assert lines[2] == "right hand 1231234 12312345; left hand 5432132 14321321"
    assert lines[3] == lines[4]
    assert lines[4] == (
        "right hand 1231234 each octave and 5 at the top; "
        "left hand 5432132, then 1432132 each octave and 1 at the top"
    )


@pytest.mark.parametrize(
    ("exercise", "keys"), [("piano.major-scale", "major"), ("piano.minor-scale", "minor")]
)
def test_a_fingering_for_four_octaves_is_short(exercise: str, keys: Mode) -> None:
    made = material(exercise, keys=list(key_names(keys)), octaves=4)
    for line in details(made).values():
        # Written out, the two hands alone would take 58 figures.
        assert sum(character.isdigit() for character in line) <= 3 * 2 * (7 + 1)
        assert len(line) <= 200


def test_a_way_down_is_shown_only_for_the_hand_that_changes() -> None:
    """F sharp melodic minor: the right hand comes down as in the natural minor, the left is the same."""
    forms = {"forms": ["harmonic", "melodic"], "octaves": 2}
    both = details(material("piano.minor-scale", keys=["F#"], **forms))
    assert both["F-sharp-harmonic"] == "right hand 3412312 34123123; left hand 4321321 43213214"
    assert both["F-sharp-melodic"] == (
        "right hand 2312341 23123413; left hand 4321321 43213214; coming down, right hand 3213214 32132143"
    )
    left = details(material("piano.minor-scale", keys=["F#"], hands="left", **forms))
    assert left["F-sharp-melodic"] == "left hand 4321321 43213214"


def test_hands_with_the_same_fingers_are_said_once() -> None:
    same = Fingering(hand("1 1231234 5"), hand("1 1231234 5"))
    message = fingers_of_run(same, "together", 1)
    assert message is not None
    assert message.id == "piano.fingering.both"


def compact(fingers: Fingering | None, octaves: int) -> Written:
    """Every finger of both hands, without spaces."""
    assert fingers is not None
    return Written(*(each.written(octaves).replace(" ", "") for each in fingers))


def pairs(hand: str) -> list[tuple[int, int]]:
    return [(int(a), int(b)) for a, b in pairwise(hand)]


def test_octaves_name_black_keys_only_where_there_are_some() -> None:
    said = details(material("piano.octaves", keys=["C", "G"]))
    assert "black" not in said["C"]
    assert "black" in said["G"]
