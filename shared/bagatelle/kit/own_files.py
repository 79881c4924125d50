"""Which lines are the plugin's own, to say where something happened."""

import json
import opcode
import os
from pathlib import Path
from traceback import walk_tb
from typing import Final

_RAISING: Final = frozenset({"RAISE_VARARGS", "RERAISE"})


class OwnFiles:
    """The files of a plugin's package, or of its one module."""

    def __init__(self, roots: tuple[Path, ...]) -> None:
        """Remember where they lie.

        :param roots: the folder of the package, or the file of the module.
        """
        self._beginnings = tuple(f"{root}{os.sep}" if root.is_dir() else str(root) for root in roots)

    def line(self, file: str, number: int | None) -> str | None:
        """Name a line; None where the file is not the plugin's."""
        return f"{Path(file).name}, line {number}" if file.startswith(self._beginnings) else None

    def line_of(self, error: BaseException) -> str | None:
        """Name the innermost line from which an error came; None where none is known or it names one itself."""
        if isinstance(error, SyntaxError):
            return None
        lines = (
            self.line(frame.f_code.co_filename, number) for frame, number in walk_tb(error.__traceback__)
        )
        return next(reversed([line for line in lines if line]), None)


def is_meant(error: ValueError) -> bool:
    """Whether somebody wrote `raise ValueError`: what Python raises itself, as of `int("x")`, is an accident."""
    if isinstance(error, UnicodeError | json.JSONDecodeError):
        return False
    last = error.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    return last is not None and opcode.opname[last.tb_frame.f_code.co_code[last.tb_lasti]] in _RAISING
