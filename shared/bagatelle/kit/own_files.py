"""Which lines are the plugin's own, to say where something happened."""

import os
from pathlib import Path
from traceback import walk_tb


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
