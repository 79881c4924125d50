"""Read one TOML file of a catalogue by its form; every wrong field is named with its line."""

import re
import unicodedata
from typing import Final

import tomli
from msgspec import Struct

from bagatelle.decode import typed
from bagatelle.model.errors import InvalidInputError
from bagatelle.toml_catalogue.accepted_words import accepted_in_toml
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.form import Part
from bagatelle.toml_catalogue.lines import Lines
from bagatelle.toml_catalogue.strange import TOO_LARGE, strange

FILE_LIMIT_BYTES: Final = 1024 * 1024
_TOO_MANY_DIGITS: Final = re.compile(r"[0-9][0-9_]{1000}")
_ROUND_QUOTE: Final = re.compile("[\u2018-\u201f\u00ab\u00bb]")


class ReadPart(Struct, frozen=True):
    """A file that keeps to the form by itself; whether its names lead anywhere is not yet known."""

    file: str
    part: Part
    lines: Lines

    def fault(self, pointer: str, reason: str) -> FileFault:
        """Say that the field at a JSON Pointer is wrong."""
        return fault_at(self.file, self.lines, pointer, reason)


def fault_at(file: str, lines: Lines, pointer: str, message: str) -> FileFault:
    """Say that the field at a JSON Pointer is wrong."""
    return FileFault(file, lines.of(pointer), message if pointer else f"the file: {message}", pointer)


def read_part(file: str, content: bytes) -> ReadPart:
    """Read one file.

    :param file: what it is called in faults.
    :raises CatalogueFileError: with every wrong field of it.
    """
    if len(content) > FILE_LIMIT_BYTES:
        reason = f"it is too large (accepted: at most {FILE_LIMIT_BYTES} bytes)"
        raise CatalogueFileError([FileFault(file, 1, reason)])
    text = _decoded(file, content)
    document = _parsed(file, text)
    lines = Lines(text)
    wrong = [fault_at(file, lines, pointer, reason) for pointer, reason in strange(document)]
    if wrong:
        raise CatalogueFileError(wrong)
    try:
        return ReadPart(file, typed(document, Part), lines)
    except InvalidInputError as error:
        raise CatalogueFileError(
            fault_at(
                file,
                lines,
                wrong.pointer,
                wrong.message
                + (f" (accepted: {accepted_in_toml(wrong.accepted)})" if wrong.accepted else ""),
            )
            for wrong in error.errors
        ) from error


def _decoded(file: str, content: bytes) -> str:
    try:
        # Some editors begin a text with a byte order mark. TOML ends lines with either ending; the places of
        # faults are counted with one.
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise CatalogueFileError([FileFault(file, line, "the text is not UTF-8")]) from error


def _parsed(file: str, text: str) -> dict[str, object]:
    try:
        # The standard library's parser, compiled: five times as fast.
        return tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        reason = f"not TOML at column {error.colno}: {error.msg}{_unusual(error)}"
        raise CatalogueFileError([FileFault(file, error.lineno, reason)]) from error
    except RecursionError as error:
        raise CatalogueFileError([FileFault(file, 1, "it is nested too deep")]) from error
    except ValueError as error:
        # Python reads no number of thousands of digits.
        digits = _TOO_MANY_DIGITS.search(text)
        line = 1 if digits is None else text.count("\n", 0, digits.start()) + 1
        raise CatalogueFileError([FileFault(file, line, f"a number in this line {TOO_LARGE}")]) from error


def _unusual(error: tomli.TOMLDecodeError) -> str:
    """Name a character that looks like one of TOML's and is none, as word processors put in."""
    line = error.doc.split("\n")[error.lineno - 1]
    here = line[error.colno - 1 : error.colno]
    if not here and (quote := _ROUND_QUOTE.search(line)):
        here = quote[0]  # a text that such a quote should have ended goes on to the end of the line
    if not here or (here.isascii() and here.isprintable()):
        return ""
    accepted = " (accepted: straight quotes, \" or ')" if _ROUND_QUOTE.fullmatch(here) else ""
    named = unicodedata.name(here, "a control character").lower()
    return f"; here is the character U+{ord(here):04X}, {named}{accepted}"
