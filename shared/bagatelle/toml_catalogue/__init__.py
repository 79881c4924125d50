"""Instruments without code: a catalogue in TOML, by a published form."""

from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.plugin import CataloguePlugin
from bagatelle.toml_catalogue.reading import read_part

__all__ = ("Catalogue", "CatalogueFileError", "CataloguePlugin", "FileFault", "read_part")
