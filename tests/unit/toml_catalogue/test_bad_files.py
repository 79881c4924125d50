"""No file stops anybody: whatever is in it, it is refused with a reason and a line."""

import logging
import os
from pathlib import Path

import pytest
from bagatelle import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.toml_catalogue import CatalogueText, catalogue_files, join_catalogues
from bagatelle.toml_catalogue.reading import FILE_LIMIT_BYTES

from tests.unit.toml_catalogue.kazoo import KAZOO, faults_of

BARS = 'notes = "14 * octaves + 1"'
LINE = KAZOO[: KAZOO.index(BARS)].count("\n") + 1
DEEP = "is nested too deep (accepted: at most 32 tables and lists in one another)"
LARGE = "is too large (accepted: at most 9007199254740991)"


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        # Python reads a decimal number of at most 4300 digits, and hexadecimal ones of any length.
        (f"notes = {'9' * 4401}", f"a number in this line {LARGE}"),
        (f"notes = -{'9' * 4401}", f"a number in this line {LARGE}"),
        (f"notes = {'9' * 20}", LARGE),
        (f"notes = 0x{'f' * 10_000}", LARGE),
        ("notes = 1e999", "is inf (accepted: a finite number)"),
        (f"notes = {'[' * 300}{']' * 300}", DEEP),
        (f"notes = {'[' * 300_000}", "it is nested too deep"),
        (f"notes = {'{a = ' * 300}1{'}' * 300}", DEEP),
        (f"{'a.' * 500}a = 1", DEEP),
        (f"{'a.' * 100_000}a = 1", "it is nested too deep"),
        (f"[{'a.' * 500}a]", DEEP),
        ('"a\\u001b[2J" = 1', "a name in it holds the character U+001B"),
        (
            "notes = “14”",
            "here is the character U+201C, left double quotation mark (accepted: straight quotes",
        ),
        (
            'notes = "14”',
            "here is the character U+201D, right double quotation mark (accepted: straight quotes",
        ),
        ("notes\u00a0= 14", "here is the character U+00A0, no-break space"),
        ('notes = "1e9 * bpm"', "cannot be read at"),
    ],
)
def test_it_is_refused_in_a_folder_and_where_it_joins(tmp_path: Path, line: str, reason: str) -> None:
    text = KAZOO.replace(BARS, line)
    (tmp_path / "kazoo.toml").write_text(text)
    (tmp_path / "other.toml").write_text(KAZOO)
    first, second = load_instruments(entry_points=catalogue_files(tmp_path)).plugins
    assert reason in str(first.reason)
    assert (first.status, second.status) == ("left out", "loaded")
    (fault, *_) = join_catalogues(Instruments.none(), [CatalogueText("own", text)]).refused["own"].file_faults
    assert reason in fault.message
    if "nested too deep" not in reason and "a name" not in reason:
        assert fault.line == LINE


@pytest.mark.parametrize("number", ["1e308", "1e-308", "5e-324", "-1e308", "0", "1e300"])
@pytest.mark.parametrize(
    "field", ["notes", "bpm", "notes_per_beat", "passes", "pause_seconds", "lowest", "highest"]
)
def test_numbers_of_every_size_are_taken_or_refused_at_load(number: str, field: str) -> None:
    for expression in (number, '"each.size"', f'"{" * ".join(["each.size"] * 18)}"'):
        lines = KAZOO.replace('start = "C4"', f'start = "C4"\nsize = {number}').replace(
            'start = "G4"', f'start = "G4"\nsize = {number}'
        )
        lines = "\n".join(
            f"{field} = {expression}"
            if each.startswith(f"{field} = ") and not each.endswith('"passes"')
            else each
            for each in lines.split("\n")
        )
        assert all("raised" not in fault and "Error" not in fault for fault in faults_of(lines))
        joined = join_catalogues(Instruments.none(), [CatalogueText("own", lines)])
        for error in joined.refused.values():
            assert "Error" not in str(error)


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    assert faults_of("\ufeff" + KAZOO) == []
    (tmp_path / "kazoo.toml").write_text(KAZOO, encoding="utf-8-sig")
    (report,) = load_instruments(entry_points=catalogue_files(tmp_path)).plugins
    assert report.status == "loaded"


def test_what_is_no_file_that_can_be_read(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "gone.toml").symlink_to(tmp_path / "nowhere")
    (tmp_path / "large.toml").write_bytes(b"#" * (FILE_LIMIT_BYTES + 2))
    (tmp_path / os.fsdecode(b"\xff.toml")).write_text("form = 1")
    reports = load_instruments(entry_points=catalogue_files(tmp_path)).plugins
    assert {report.name: report.reason for report in reports} == {
        "folder.toml": "folder.toml, line 1: it is no file",
        "gone.toml": "gone.toml, line 1: it is no file",
        "large.toml": f"large.toml, line 1: it is too large (accepted: at most {FILE_LIMIT_BYTES} bytes)",
        "pipe.toml": "pipe.toml, line 1: it is no file",
        "\\udcff.toml": "\\udcff.toml, line 1: /instrument: the instrument is missing",
    }


def test_a_name_in_capitals_is_taken_and_another_ending_is_said(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "Kazoo.TOML").write_text(KAZOO)
    (tmp_path / "comb.toml.txt").write_text(KAZOO)
    (tmp_path / "notes.txt").write_text("nothing")
    with caplog.at_level(logging.WARNING):
        assert [each.name for each in catalogue_files(tmp_path)] == ["Kazoo.TOML"]
    assert [record.getMessage() for record in caplog.records] == [
        "the file 'comb.toml.txt' is passed over: its name does not end in .toml"
    ]


def test_what_nobody_foresaw_is_no_reason_to_serve_nobody(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(*_: object) -> None:
        raise LookupError("no reed")

    monkeypatch.setattr("bagatelle.toml_catalogue.catalogue.scope_of", fail)
    (tmp_path / "kazoo.toml").write_text(KAZOO)
    (report,) = load_instruments(entry_points=catalogue_files(tmp_path)).plugins
    assert "raised LookupError: no reed" in str(report.reason)
    joined = join_catalogues(Instruments.none(), [CatalogueText("own", KAZOO)])
    assert str(joined.refused["own"]) == "own, line 1: it cannot be read: LookupError: no reed"
    assert "LookupError" in caplog.text  # for whoever mends the program
