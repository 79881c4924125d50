"""What is wrong in the files of a catalogue, and in which line."""

import re
from collections.abc import Callable, Iterable
from typing import Final, TypeAlias

from msgspec import Struct

from bagatelle.catalogue.faults import Fault, RefusedError

Report: TypeAlias = Callable[[str, str], None]
"""Takes where in an exercise, as the rest of a JSON Pointer, and what is wrong there."""
_ACCEPTED: Final = re.compile(r"(?P<what>.*?) \(accepted: (?P<accepted>.*)\)\.?", re.DOTALL)


class FileFault(Struct, frozen=True):
    """One thing that is wrong in a file."""

    file: str
    line: int
    """From 1."""
    message: str
    """What is wrong, and in brackets what would be accepted where that can be said."""
    pointer: str = ""
    """To the field that is wrong (RFC 6901), where it is one."""

    @property
    def reason(self) -> str:
        """Say which field is wrong, and why."""
        return f"{self.pointer}: {self.message}" if self.pointer else self.message

    @property
    def parts(self) -> tuple[str, str | None]:
        """The message in two: what is wrong, and what would be accepted."""
        found = _ACCEPTED.fullmatch(self.message)
        return (self.message, None) if found is None else (found["what"], found["accepted"])


class CatalogueFileError(RefusedError):
    """Files of a catalogue cannot be taken. Holds every fault that was found."""

    def __init__(self, faults: Iterable[FileFault]) -> None:
        self.file_faults = tuple(dict.fromkeys(faults))
        super().__init__(
            Fault(f"{fault.file}, line {fault.line}", fault.reason) for fault in self.file_faults
        )
