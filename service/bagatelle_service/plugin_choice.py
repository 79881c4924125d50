"""Which plugins a process of the service loads."""

from collections.abc import Mapping
from pathlib import Path

from bagatelle import Instruments, load_instruments
from bagatelle.toml_catalogue import CatalogueFile, catalogue_files
from msgspec import Struct


class PluginChoice(Struct, frozen=True, kw_only=True):
    """The same for every process of one service, so that all of them know the same exercises."""

    allowed: tuple[str, ...] | None = None
    """By name; None: all that are installed."""
    left_out: Mapping[str, str] = {}
    """Those that did not load when they were tried, with the reason."""
    catalogues: str | None = None
    """The folder of catalogues in TOML; None: there is none."""

    def load(self) -> Instruments:
        """Load them."""
        return load_instruments(
            allowed=self.allowed,
            left_out=self.left_out,
            catalogues=self.files(),
        )

    def files(self) -> tuple[CatalogueFile, ...]:
        """Return the catalogues of the folder."""
        return () if self.catalogues is None else catalogue_files(Path(self.catalogues))
