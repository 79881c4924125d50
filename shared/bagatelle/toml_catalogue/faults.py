"""What is wrong in the files of a catalogue, and in which line."""

from collections.abc import Iterable

from msgspec import Struct

from bagatelle.catalogue.faults import Fault, RefusedError


class FileFault(Struct, frozen=True):
    """One thing that is wrong in a file."""

    file: str
    line: int
    """From 1."""
    message: str
    pointer: str = ""
    """To the field that is wrong (RFC 6901), where it is one."""

    @property
    def reason(self) -> str:
        """Say which field is wrong, and why."""
        return f"{self.pointer}: {self.message}" if self.pointer else self.message


class CatalogueFileError(RefusedError):
    """Files of a catalogue cannot be taken. Holds every fault that was found."""

    def __init__(self, faults: Iterable[FileFault]) -> None:
        self.file_faults = tuple(faults)
        super().__init__(
            Fault(f"{fault.file}, line {fault.line}", fault.reason) for fault in self.file_faults
        )
