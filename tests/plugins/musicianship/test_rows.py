"""Twelve-note rows against arithmetic in semitones, and against music21's table of rows that composers used."""

from itertools import pairwise

import pytest
from bagatelle.contract import Message
from music21 import serial
from music21.pitch import Pitch

from tests.plugins.musicianship.loaded import choices, instruments, row
from tests.plugins.musicianship.spelling import notes_of

ROWS = ("1", "2", "3")
FORMS = {
    "forwards": "prime",
    "backwards": "retrograde",
    "inverted": "inversion",
    "inverted-backwards": "retrograde inversion",
}
"""The forms as musicians call them (common practice, no source)."""


def classes(name: str) -> list[int]:
    """The notes of a row in semitones above C, of whichever octave."""
    return [Pitch(note).pitchClass for note in notes_of(row("row", name)["notes"])]


def leaps(notes: list[int]) -> list[int]:
    """From note to note the shorter way, in semitones; a tritone is 6."""
    return [min((after - before) % 12, (before - after) % 12) for before, after in pairwise(notes)]


def span(notes: list[int]) -> int:
    """How wide a row is where each leap goes the shorter way, and a tritone, which has none, up."""
    places = [0]
    for before, after in pairwise(notes):
        places.append(places[-1] + 6 - (before - after + 6) % 12)
    return max(places) - min(places)


@pytest.mark.parametrize("given", choices("row"), ids=lambda given: given["name"])
def test_each_of_the_twelve_notes_comes_once(given: dict[str, str]) -> None:
    assert sorted(classes(given["name"])) == list(range(12))
    number, form = given["name"].split("-", 1)
    assert given["label"] == f"row {number} {FORMS[form]}"


@pytest.mark.parametrize("number", ROWS)
def test_forms_are_turned_round_and_turned_over(number: str) -> None:
    forwards, inverted = classes(f"{number}-forwards"), classes(f"{number}-inverted")
    assert forwards[0] == 0
    assert inverted == [-note % 12 for note in forwards]
    assert classes(f"{number}-backwards") == forwards[::-1]
    assert classes(f"{number}-inverted-backwards") == inverted[::-1]


@pytest.mark.parametrize("number", ROWS)
def test_the_forms_of_a_row_are_four_different_ones(number: str) -> None:
    """No form is another one moved up or down."""
    forms = [classes(each["name"]) for each in choices("row") if each["name"].startswith(number)]
    steps = {tuple((after - before) % 12 for before, after in pairwise(form)) for form in forms}
    assert len(steps) == 4


def test_rows_are_what_the_setting_says_of_them() -> None:
    small, wide, every = (leaps(classes(f"{number}-forwards")) for number in ROWS)
    assert set(small) == {1, 2, 4}
    assert (wide.count(5), wide.count(6)) == (4, 1)
    assert set(wide) == {1, 2, 5, 6}
    notes = classes("3-forwards")
    assert sorted((after - before) % 12 for before, after in pairwise(notes)) == list(range(1, 12))
    assert set(every) == {1, 2, 3, 4, 5, 6}


@pytest.mark.parametrize("given", choices("row"), ids=lambda given: given["name"])
def test_rows_lie_within_a_ninth(given: dict[str, str]) -> None:
    """So that any voice finds an octave for them, no louder than talk."""
    assert span(classes(given["name"])) <= 13


@pytest.mark.parametrize("part", ["how", "soft.how"])
def test_a_tritone_has_a_direction(part: str) -> None:
    assert span([0, 6]) == 6
    words = instruments().wording.render(Message(f"musicianship.twelve-note-rows.{part}", {"bpm": 40}), "en")
    assert "leaps the shorter way, tritones up" in words


def test_rows_are_no_composers() -> None:
    """In no form and at no pitch."""
    own = set()
    for each in choices("row"):
        notes = classes(each["name"])
        own |= {tuple((note + up) % 12 for note in notes) for up in range(12)}
    used = {tuple(row_used) for *_, row_used in serial.historicalDict.values()}
    assert used
    assert not own & used
