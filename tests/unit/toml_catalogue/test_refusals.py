"""Everything that is wrong in a file is said, with its line, and what would be accepted."""

import pytest
from bagatelle.toml_catalogue import Catalogue, CatalogueFileError, read_part
from bagatelle.toml_catalogue.reading import FILE_LIMIT_BYTES
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.toml_catalogue.kazoo import KAZOO, faults_of, loaded


def line_of(part: str) -> int:
    return KAZOO[: KAZOO.index(part)].count("\n") + 1


@pytest.mark.parametrize(
    ("before", "after", "reason"),
    [
        ('area = "technique"', 'area = "tecnique"', '"tecnique" is not among the values accepted'),
        ('family = "wind"', 'family = "winds"', '"winds" is not among the values accepted'),
        ('strain = "high"', 'strains = "high"', 'the field "strains" is unknown'),
        ('default = "room"', 'default = "room"\ncolour = "red"', 'the field "colour" is unknown'),
        ('of = "key"', 'of = "keys"', "there is no list of choices 'keys' (accepted: key, place)"),
        ("whole = [1, 3]", "whole = [3, 1]", "goes from 3 to 1 (accepted: the least number first)"),
        ("whole = [1, 3]", "", "has none of `of`, `whole` and `words` (accepted: one of them)"),
        ("words = 80", "words = 80\nmost = 2", "words are one text (accepted: `most` with `of` or `whole`)"),
        (
            'each = "keys"',
            'each = "key"',
            "there is no setting 'key' (accepted: bpm, keys, octaves, passes, place)",
        ),
        ('notes = "14 * octaves + 1"', 'notes = "14 octaves"', "cannot be read at 'octaves'"),
        ('notes = "14 * octaves + 1"', 'notes = "14 *"', "ends where a number or a name is missing"),
        ('notes = "14 * octaves + 1"', 'notes = "14 / octaves"', "cannot be read at '/ octaves'"),
        ('notes = "14 * octaves + 1"', 'notes = "14 * octave"', "'octave' names nothing (accepted: bpm,"),
        ('notes = "14 * octaves + 1"', 'notes = "played"', "'played' names nothing"),
        (
            'notes = "14 * octaves + 1"',
            'bars = 4\nnotes = "15"',
            "has notes, bars of notes, bars and seconds",
        ),
        (
            'lowest = "each.start"',
            'lowest = "each.hint"',
            "and no number (accepted after its name: start)",
        ),
        ('bpm = "bpm"\npasses', "passes", "goes with notes and bars, which need it"),
        ('loudness_from = "place"', 'loudness_from = "keys"', "'keys' is no setting of one choice"),
        ('loudness = "loud"', 'loudness = "roaring"', "not every value of 'place' has a column `loudness`"),
        ('how = "{place}, {bpm', 'how = "{venue}, {bpm', "{venue} names nothing (accepted: bpm,"),
        (
            "{bpm.crotchet}",
            "{bpm.crochet}",
            "{bpm.crochet} leads nowhere (accepted after its name: crotchet,",
        ),
        (
            'in {term.quavers}"\nhow_much',
            'in {term.eighths}"\nhow_much',
            "{term.eighths} is no term (accepted:",
        ),
        ("{octaves.words}", "{Octaves}", "{Octaves} is no placeholder (accepted: {name} or {name.more}"),
        ("{octaves.words}", "{octaves", "a brace stands alone"),
        ('detail = "{each.hint}"', 'detail = "{units}"', "{units} is of a dose, and no dose is known here"),
        ('title = "Scales"', 'title = "Scales {bpm}"', "the parameter 'bpm' is missing"),
        (
            'cautions = ["dizzy", "lip"]',
            'cautions = ["dizy"]',
            "there is no 'dizy' (accepted: back, dizzy, hands",
        ),
        ('sources = ["habit"]', 'sources = ["habits"]', "there is no 'habits' (accepted: habit)"),
        ('name = "tune"', 'name = "scales"', "the catalogue has 'scales' twice"),
        ('name = "g-major"', 'name = "c-major"', "the list has 'c-major' twice"),
        ('label = "G major"', 'title = "G major"', "the value needs a text `label`"),
        (
            'label = "G major"',
            'label = "G {passes}"',
            "{passes} cannot stand here (accepted: {term.…} alone)",
        ),
        ('label = "{piece}"\n', "", "is missing, and a single unit has no other (accepted: a text)"),
        ("[exercise.settings.place]", "[exercise.settings.units]", "'units' has a meaning of its own"),
        ('highest = "C6"', 'highest = "H6"', '"H6" does not have the form accepted'),
        ('highest = "C6"', "highest = 2026-11-26", "is a date or a time"),
        ("usual_minutes = 5", "usual_minutes = inf", "is inf (accepted: a finite number)"),
        ("form = 1", "form = 2", "2 is not among the values accepted (accepted: 1)"),
        ("whole = [40, 160]", "whole = [40, 160", "not TOML at column"),
    ],
)
def test_what_is_wrong_is_said(before: str, after: str, reason: str) -> None:
    assert before in KAZOO
    found = faults_of(KAZOO.replace(before, after, 1))
    said = " | ".join(found) or str(loaded(KAZOO.replace(before, after, 1)).plugins[0].reason)
    assert reason in said


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('area = "technique"', 'area = "tecnique"'),
        ('of = "key"', 'of = "keys"'),
        ("whole = [1, 3]", "whole = [3, 1]"),
        ('highest = "each.start + 12', 'highest = "each.beginning + 12'),
        ("{bpm.crotchet}", "{bpm.crochet}"),
        ('sources = ["habit"]\nwhat = "{piece}"', 'sources = ["habits"]\nwhat = "{piece}"'),
        ('name = "g-major"', 'name = "c-major"'),
        ('area = "tone"', 'area = "tones"'),
    ],
)
def test_the_line_is_the_one_that_was_changed(before: str, after: str) -> None:
    found = faults_of(KAZOO.replace(before, after, 1))
    assert line_of(before) in {int(fault.split(":")[1]) for fault in found}


def test_every_fault_is_said_at_once() -> None:
    text = (
        KAZOO.replace('of = "key"', 'of = "keys"').replace("{piece}", "{song}").replace('["dizzy"', '["dizy"')
    )
    assert len(faults_of(text)) >= 3


def test_text_that_is_not_utf_8() -> None:
    with pytest.raises(CatalogueFileError) as caught:
        read_part("x.toml", b"form = 1\nname = '\xff'\n")
    assert str(caught.value) == "x.toml, line 2: the text is not UTF-8"


def test_a_file_that_is_too_large() -> None:
    text = "#" * (FILE_LIMIT_BYTES + 1)
    assert faults_of(text) == [f"kazoo.toml:1: it is too large (accepted: at most {FILE_LIMIT_BYTES} bytes)"]


def test_a_catalogue_without_an_instrument_or_with_two() -> None:
    assert faults_of("form = 1\n") == ["kazoo.toml:1: /instrument: the instrument is missing"]
    assert "another file of the catalogue has the instrument already" in faults_of(KAZOO, KAZOO)[0]


def test_names_of_two_files_that_meet() -> None:
    found = faults_of(KAZOO, 'form = 1\n[cautions]\ndizzy = "Stop."\n')
    assert found == ["more-1.toml:3: /cautions/dizzy: another file of the catalogue has this name already"]


def test_a_common_exercise_that_there_is_not() -> None:
    (found,) = faults_of(f'{KAZOO}\n[common]\ntake = ["nothing-like-it"]\n')
    assert "there is no common exercise 'nothing-like-it'" in found


def test_what_the_plugin_rules_find_is_found_too() -> None:
    report = loaded(KAZOO.replace("daily_cap_seconds = 600\n", "")).plugins[0]
    assert report.status == "left out"
    assert report.reason == "kazoo.scales: strain is high, so daily_cap_seconds is needed"


@given(st.binary(max_size=200))
def test_bytes_that_are_no_catalogue_are_refused_with_reasons(content: bytes) -> None:
    with pytest.raises(CatalogueFileError) as caught:
        Catalogue([read_part("x.toml", content)])
    assert caught.value.file_faults


@given(st.integers(0, KAZOO.count("\n")), st.sampled_from(["", "x = 1", "[x]", "name = 3", "]", '"""']))
def test_a_line_replaced_is_taken_or_refused_with_reasons(line: int, other: str) -> None:
    lines = KAZOO.split("\n")
    lines[line] = other
    for fault in faults_of("\n".join(lines)):
        file, at, reason = fault.split(":", 2)
        assert file == "kazoo.toml"
        assert 1 <= int(at) <= len(lines)
        assert reason.strip()
