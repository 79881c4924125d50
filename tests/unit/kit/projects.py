"""A right plugin's project folder to begin from, and the same with some lines of it made wrong."""

from collections.abc import Iterable
from pathlib import Path

from bagatelle.kit.beginning import begin_plugin
from bagatelle.kit.checking import check_project
from bagatelle.kit.checks import CheckReport
from bagatelle.kit.identifiers import NO_IDS, Listing
from msgspec import Struct

CODE = "bagatelle_kazoo/plugin.py"
ENGLISH = "bagatelle_kazoo/texts/en.json"
AMERICAN = "bagatelle_kazoo/texts/en-US.json"
END_OF_FILE = "\N{END OF TEXT}"


class Edit(Struct, frozen=True):
    """One change of one file."""

    old: str
    new: str
    file: str = CODE


def at_import(code: str) -> Edit:
    """Code that runs when the plugin is imported."""
    return Edit("HELD_NOTES = Exercise(", f"{code}\nHELD_NOTES = Exercise(")


def in_material(code: str) -> Edit:
    """Code that runs when the plugin is asked for material."""
    begin = '''a breath after each."""\n'''
    return Edit(begin, f"{begin}    {code}\n")


def project(folder: Path, edits: Iterable[Edit] = ()) -> Path:
    """Write the plugin of a kazoo and change it."""
    made = begin_plugin("kazoo", folder)
    for edit in edits:
        file = made / edit.file
        text = file.read_text(encoding="utf-8")
        assert text.count(edit.old) == 1, (edit, text)
        file.write_text(text.replace(edit.old, edit.new), encoding="utf-8")
    return made


def report_of(folder: Path, *edits: Edit, before: Listing = NO_IDS) -> CheckReport:
    """Check a changed plugin."""
    (report,) = check_project(str(project(folder, edits)), before)
    return report


def failed(report: CheckReport) -> list[str]:
    """The checks that found anything."""
    return [check for check, faults in report.faults.items() if faults]


def reasons(report: CheckReport, check: str) -> list[str]:
    """What a check found, each with its item."""
    return [str(fault) for fault in report.faults[check]]
