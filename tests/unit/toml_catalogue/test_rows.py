"""A list of studies with one wrong line: the study is named, and its line."""

from typing import Final

import pytest
from bagatelle import Instruments
from bagatelle.toml_catalogue import CatalogueFileError, CatalogueText, join_catalogues

from tests.unit.toml_catalogue.kazoo import faults_of, loaded

BOOK: Final = """\
form = 1

[instrument]
id = "book"
family = "wind"
name = "the book"
lowest = "E3"
highest = "C6"

[common]
take = ["passage"]

[sources.book]
fact = "bars and tempi"
source = "the school's own book"
status = "verified"

[choices]
study = [
  { name = "no-1", label = "No. 1", bars = 16, tempo = 72, top = "G4" },
  { name = "no-2", label = "No. 2", bars = 12, tempo = 84, top = "A4" },
  { name = "no-3", label = "No. 3", bars = 32, tempo = 100, top = "D5" },
]

[[exercise]]
name = "studies"
title = "Studies"
area = "technique"
level = "elementary"
concreteness = "exact"
divisibility = "sectioned"
strain = "low"
loudness = "moderate"
usual_minutes = 12
smallest_chunk_seconds = 45
set_up_seconds = 10
sources = ["book"]
what = "{units}"
how = "at {percent} per cent"
how_much = { by = "unit_count", one = "{passes.times}", other = "each {passes.times}" }
done_when = "the last time has no stop"

[exercise.settings]
numbers = { about = "Which.", of = "study", most = 3, default = ["no-1"] }
percent = { about = "Of the tempo.", whole = [50, 100], default = 90 }
passes = { about = "How often.", whole = [1, 4], default = 2 }

[exercise.units]
each = "numbers"
bars = "each.bars"
bpm = "each.tempo * percent * 0.01"
passes = "passes"
pause_seconds = "20 * passes"
highest = "each.top"

[texts.de]
"studies.title" = "Etüden"
"""
ROW: Final = 22
"""Of the third study."""


def refused(text: str) -> CatalogueFileError:
    """By the form, or only where it joins others."""
    return join_catalogues(Instruments.none(), [CatalogueText("own", text)]).refused["own"]


def line_of(words: str) -> int:
    return BOOK[: BOOK.index(words)].count("\n") + 1


def test_the_book_is_right() -> None:
    assert loaded(BOOK).plugins[0].reason is None


@pytest.mark.parametrize(
    ("before", "after", "pointer", "words"),
    [
        ("bars = 32", 'bars = "32"', "/choices/study/2/bars", '"32" is text and no number'),
        (", bars = 32", "", "/choices/study/2/bars", "'no-3' has no `bars`, and 'each.bars' asks"),
        ("tempo = 100", 'tempo = "100-108"', "/choices/study/2/tempo", '"100-108" is text and no number'),
        (
            'top = "D5"',
            'top = "d5"',
            "/choices/study/2/top",
            "(accepted: a number without quotes, or a pitch",
        ),
        # 3200 bars of four at 90 once: two hours at least, whatever the settings.
        ("bars = 32", "bars = 3200", "/choices/study/2", "'no-3' as a unit would last 17107 seconds"),
        ("bars = 32", "bars = 0", "/choices/study/2", "'no-3' as a unit has 0 for bars"),
        ('top = "D5"', 'top = "D6"', "/choices/study/2", "goes up to D6 (accepted: to C6, the instrument's"),
        ("tempo = 100", "tempo = 1e308", "/choices/study/2", "has more than 1000000000 for bpm"),
        ('label = "No. 3"', 'label = "No.\\t3"', "/choices/study/2/label", "a tab"),
        ('name = "no-3"', 'name = "no-1"', "/choices/study/2/name", "the list has 'no-1' twice"),
        ('name = "no-3"', f'name = "{"n" * 65}"', "/choices/study/2/name", "at most 64"),
        ('label = "No. 3", ', "", "/choices/study/2/label", "the value needs a text `label`"),
    ],
)
def test_the_one_fault_is_at_the_study(before: str, after: str, pointer: str, words: str) -> None:
    (found,) = faults_of(BOOK.replace(before, after, 1))
    assert found.startswith(f"kazoo.toml:{ROW}: {pointer}: ")
    assert words in found


def test_a_study_that_is_too_long_by_default_alone_is_right() -> None:
    # 100 bars of four at 90 hundredths of 72, twice: 741 s and pauses; once and at the full tempo 353 s.
    assert faults_of(BOOK.replace("bars = 32, tempo = 100", "bars = 100, tempo = 72")) == []


def test_where_no_study_can_be_played_the_units_are_wrong() -> None:
    (found,) = faults_of(BOOK.replace('"20 * passes"', "-20"))
    line = line_of("[exercise.units]")
    assert found.startswith(f"kazoo.toml:{line}: /exercise/0/units: no unit can be played: 'no-1' as a unit")
    assert "has a pause of -20 seconds (accepted: 0 or more)" in found


@pytest.mark.parametrize(
    ("before", "after", "pointer", "words"),
    [
        ("default = 90", "default = 190", "settings/percent/default", "190 is too large (accepted: a whole"),
        ('["no-1"] }', '["no-1", "no-9"] }', "settings/numbers/default/1", '"no-9" is not among the values'),
        ("most = 3, ", "", "settings/numbers/most", "is missing, and `each` makes a unit of each value"),
        ('by = "unit_count", ', "", "how_much/by", "is missing, and a plural needs `by` and `other`"),
        (
            'by = "unit_count"',
            'by = "numbers"',
            "how_much/by",
            "'numbers' is no number, so nothing tells one",
        ),
        ("{percent} per", "{percent}  per", "how", "two blanks together"),
        ('highest = "each.top"', 'highest = "C6"', "units/highest", "(accepted: 84, C4 being 60)"),
        ("chunk_seconds = 45", "chunk_seconds = 721", "smallest_chunk_seconds", "(accepted: at most 720)"),
        ("set_up_seconds = 10", "set_up_seconds = 1801", "set_up_seconds", "a whole number from 0 to 1800"),
    ],
)
def test_the_one_fault_of_the_exercise_has_its_line(
    before: str, after: str, pointer: str, words: str
) -> None:
    (found,) = faults_of(BOOK.replace(before, after, 1))
    assert found.startswith(f"kazoo.toml:{line_of(before)}: /exercise/0/{pointer}: ")
    assert words in found


@pytest.mark.parametrize(
    ("before", "after", "line", "pointer", "words"),
    [
        ('lowest = "E3"', 'lowest = "E7"', 'lowest = "E3"', "instrument/lowest", "E7 is above C6"),
        ('id = "book"', 'id = "engine"', 'id = "book"', "instrument/id", "'engine' is the engine's own"),
        ('["passage"]', '["passage", "passage"]', "take =", "common/take/1", "'passage' already"),
        ('name = "studies"', 'name = "passage"', "take =", "common/take/0", "'passage' already"),
        (
            '"studies.title" = "Etüden"',
            '"studies.how" = "bei {prozent}"',
            '"studies.title"',
            "texts/de/studies.how",
            "{prozent} names nothing",
        ),
        ("[texts.de]", "[texts.en]", "[texts.de]", "texts/en", "English stands beside what it says"),
        ("[texts.de]", "[texts.German]", "[texts.de]", "texts/German", "is no locale"),
        (
            '"studies.title"',
            '"studies.titel"',
            '"studies.title"',
            "texts/de/studies.titel",
            "no such text in",
        ),
    ],
)
def test_the_one_fault_beside_the_exercise_has_its_line(
    before: str, after: str, line: str, pointer: str, words: str
) -> None:
    (fault,) = refused(BOOK.replace(before, after, 1)).file_faults
    assert (fault.line, fault.pointer) == (line_of(line), f"/{pointer}")
    assert words in fault.message


def test_a_number_of_several_values_is_said_to_be_one() -> None:
    found = faults_of(BOOK.replace("whole = [1, 4], default = 2", "whole = [1, 4], most = 2, default = [2]"))
    assert found
    assert all(
        "has several values, as its setting has `most`, and here is one needed" in each for each in found
    )


def test_what_a_unit_of_another_locale_says_may_name_each() -> None:
    text = BOOK.replace('highest = "each.top"', 'highest = "each.top"\ndetail = "{each.bars} bars"')
    assert loaded(f'{text}"studies.unit.detail" = "{{each.bars}} Takte"\n').plugins[0].reason is None
