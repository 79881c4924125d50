"""Fingerings against a handbook table, and the laws that any sound fingering keeps."""

from itertools import pairwise

import pytest
from bagatelle_piano.chords import arpeggio_fingering, chord_notes
from bagatelle_piano.fingerings import Fingering, fingering
from bagatelle_piano.keys import Mode, key_names
from bagatelle_piano.pitches import Note, climb, is_black, spelling_of
from bagatelle_piano.scales import (
    STARTING_NOTES,
    Form,
    chromatic_fingering,
    chromatic_notes,
    scale_fingering,
    scale_notes,
)

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


@pytest.mark.parametrize("key", key_names("major"))
def test_major_scales_are_the_handbook_s(key: str) -> None:
    one, two = (compact(fingering("major", key, octaves)) for octaves in (1, 2))
    assert (one.right, one.left, two.right, two.left) == HANDBOOK[key]


@pytest.mark.parametrize(("key", "form"), SCALES)
@pytest.mark.parametrize("octaves", [1, 2, 4])
def test_scales_keep_the_laws_both_ways(key: str, form: Form, octaves: int) -> None:
    notes = scale_notes(spelling_of(key), form, 2, octaves)
    up, down = scale_fingering(key, form, octaves)
    rising, falling = notes[: 7 * octaves + 1], notes[: 7 * octaves - 1 : -1]
    keeps_laws(rising, compact(up))
    keeps_laws(falling, compact(down or up))
    # The top note is played once, so both directions must agree on its finger.
    assert compact(up).right[-1] == compact(down or up).right[-1]
    assert compact(up).left[-1] == compact(down or up).left[-1]


def keeps_laws(rising: tuple[Note, ...], fingers: Fingering) -> None:
    for hand in fingers:
        assert len(hand) == len(rising)
        for note, finger in zip(rising, hand, strict=True):
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
    for each in (each for each in scale_fingering(key, form, 4) if each):
        for hand in compact(each):
            degrees = {index % 7 for index, finger in enumerate(hand[1:-1], 1) if finger == "4"}
            assert len(degrees) == 1


# Degree of the fourth finger inside an octave; the same source as HANDBOOK. Seventh degree is 6, from 0.
@pytest.mark.parametrize("key", ["C", "G", "D", "A", "E"])
def test_fourth_finger_in_the_keys_that_share_c_major_s_fingering(key: str) -> None:
    two = compact(fingering("major", key, 2))
    assert [index for index, finger in enumerate(two.right) if finger == "4"] == [6, 13]
    assert [index % 7 for index, finger in enumerate(two.left) if finger == "4"] == [1, 1]


@pytest.mark.parametrize(("kind", "mode"), [("major", "major"), ("minor", "minor")])
def test_triads_keep_the_thumb_off_black_keys(kind: str, mode: Mode) -> None:
    for key in key_names(mode):
        triad = chord_notes(spelling_of(key), mode, "root")
        fingers = compact(arpeggio_fingering(triad, kind, "root", 2))
        all_black = all(is_black(each) for each in triad)
        for hand in fingers:
            assert len(hand) == 7
            for note, finger in zip(climb(triad, 3, 6), hand, strict=True):
                assert all_black or finger != "1" or not is_black(note.fifths), key
        # Fingers rise with the notes in the right hand but for the pass of the thumb; the left is the mirror.
        assert all(b > a or b == 1 or a == 1 for a, b in pairs(fingers.right))
        assert all(b < a or a == 1 for a, b in pairs(fingers.left))


def test_only_sevenths_from_white_keys_have_a_fingering() -> None:
    from_g = chord_notes(spelling_of("C"), "dominant-seventh", "root")
    from_b_flat = chord_notes(spelling_of("Eb"), "dominant-seventh", "root")
    assert arpeggio_fingering(from_g, "dominant-seventh", "root", 2) == Fingering("1234 12345", "5432 14321")
    assert arpeggio_fingering(from_b_flat, "dominant-seventh", "root", 2) is None
    assert arpeggio_fingering(from_g, "dominant-seventh", "first-inversion", 2) is None


@pytest.mark.parametrize("start", STARTING_NOTES)
def test_chromatic_scale_has_three_on_black_keys_and_never_the_same_finger_twice(start: str) -> None:
    notes = chromatic_notes(spelling_of(start), 3, 2)[:25]
    for hand in compact(chromatic_fingering(spelling_of(start), 2)):
        assert all((finger == "3") == is_black(note.fifths) for note, finger in zip(notes, hand, strict=True))
        assert all(a != b for a, b in pairs(hand))


def compact(fingers: Fingering | None) -> Fingering:
    assert fingers is not None
    return Fingering(fingers.right.replace(" ", ""), fingers.left.replace(" ", ""))


def pairs(hand: str) -> list[tuple[int, int]]:
    return [(int(a), int(b)) for a, b in pairwise(hand)]
