"""Catalogues that lie in a folder: one plugin for each TOML file, with no code and no distribution."""

import logging
from pathlib import Path
from typing import Final

from msgspec import Struct

from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.plugin import CataloguePlugin
from bagatelle.toml_catalogue.reading import FILE_LIMIT_BYTES, read_part

LOGGER: Final = logging.getLogger("bagatelle.catalogue")
ENDING: Final = ".toml"


class FilePlugin(CataloguePlugin):
    """A catalogue in one file."""

    def __init__(self, path: Path) -> None:
        """Remember the file; it is read when it is first asked for."""
        super().__init__(shown_name(path))
        self._path = path

    def read(self) -> Catalogue:
        """Read the file, as it is now.

        :raises CatalogueFileError: also where there is no file, or it cannot be read.
        """
        name = shown_name(self._path)
        if not self._path.is_file():
            raise CatalogueFileError([FileFault(name, 1, "it is no file")])
        try:
            with self._path.open("rb") as file:
                content = file.read(FILE_LIMIT_BYTES + 1)
        except OSError as error:
            reason = f"it can't be read: {error.strerror}"
            raise CatalogueFileError([FileFault(name, 1, reason)]) from error
        return Catalogue([read_part(name, content)])


class FileVersion(Struct, frozen=True):
    """What stands for a distribution."""

    name: str
    version: str


class CatalogueFile:
    """A file as an entry point, so that it is loaded, refused and reported as every plugin is."""

    def __init__(self, path: Path) -> None:
        """Take a file, whatever is in it.

        :param path: of a file whose name ends in `.toml`.
        """
        self._plugin = FilePlugin(path)
        self.name = shown_name(path)
        self.dist = FileVersion(self.name, self._version())

    def load(self) -> FilePlugin:
        """Return the plugin."""
        return self._plugin

    def _version(self) -> str:
        try:
            return self._plugin.catalogue().version
        except Exception:  # whatever it is, it is found again and said when the file is loaded
            return "unknown"


def catalogue_files(folder: Path) -> tuple[CatalogueFile, ...]:
    """Return the catalogues of a folder, sorted by name; what does not end in `.toml` is passed over.

    :raises OSError: where there is no such folder, or it cannot be read.
    """
    found = []
    for path in sorted(folder.iterdir()):
        if is_catalogue(path):
            found.append(CatalogueFile(path))
        elif ENDING in path.name.lower():
            LOGGER.warning("the file %r is passed over: its name does not end in %s", path.name, ENDING)
    return tuple(found)


def is_catalogue(path: Path) -> bool:
    """Say whether a file is a catalogue by its name, in small letters or in capitals."""
    return path.suffix.lower() == ENDING


def shown_name(path: Path) -> str:
    """Return a file's name as it may be written down: what cannot be shown stands there as an escape."""
    name = path.name
    return name if name.isprintable() else name.encode("unicode_escape").decode()
