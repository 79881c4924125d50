"""Instruments without code: a catalogue in TOML, by a published form."""

from bagatelle.toml_catalogue.beside_code import CatalogueBesideCode
from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.folder import CatalogueFile, catalogue_files
from bagatelle.toml_catalogue.joining import CatalogueText, JoinedCatalogues, join_catalogues
from bagatelle.toml_catalogue.plugin import CataloguePlugin
from bagatelle.toml_catalogue.reading import read_part
from bagatelle.toml_catalogue.schema import form_schema

__all__ = (
    "Catalogue",
    "CatalogueBesideCode",
    "CatalogueFile",
    "CatalogueFileError",
    "CataloguePlugin",
    "CatalogueText",
    "FileFault",
    "JoinedCatalogues",
    "catalogue_files",
    "form_schema",
    "join_catalogues",
    "read_part",
)
