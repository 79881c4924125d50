"""Catalogues that lie in a folder: one plugin for each TOML file, with no code and no distribution."""

from pathlib import Path
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.faults import RefusedError
from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.plugin import CataloguePlugin
from bagatelle.toml_catalogue.reading import read_part

ENDING: Final = ".toml"


class FilePlugin(CataloguePlugin):
    """A catalogue in one file."""

    def __init__(self, path: Path) -> None:
        """Remember the file; it is read when it is first asked for."""
        super().__init__(path.name)
        self._path = path

    def read(self) -> Catalogue:
        """Read the file, as it is now."""
        return Catalogue([read_part(self._path.name, self._path.read_bytes())])


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
        self.name = path.name
        self.dist = FileVersion(path.name, self._version())

    def load(self) -> FilePlugin:
        """Return the plugin."""
        return self._plugin

    def _version(self) -> str:
        try:
            return self._plugin.catalogue().version
        except (RefusedError, OSError):
            return "unknown"


def catalogue_files(folder: Path) -> tuple[CatalogueFile, ...]:
    """Return the catalogues of a folder, sorted by name; what does not end in `.toml` is passed over.

    :raises OSError: where there is no such folder, or it cannot be read.
    """
    return tuple(CatalogueFile(path) for path in sorted(folder.iterdir()) if path.suffix == ENDING)
