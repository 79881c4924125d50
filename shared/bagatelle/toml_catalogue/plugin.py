"""The hooks of a plugin that is a catalogue in TOML."""

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from bagatelle.catalogue.faults import Fault
from bagatelle.contract.hookspecs import CONTRACT_VERSION, hookimpl
from bagatelle.model.exercise import Instrument, Material, Texts
from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.reading import read_part


class CataloguePlugin:
    """What the entry point of a plugin names whose instrument stands in TOML files of its package."""

    def __init__(self, package: str, *resources: str) -> None:
        """Remember the files; they are read when they are first asked for.

        :param package: the package, by its dotted name.
        :param resources: names of files in it; one of them has the instrument.
        """
        self._package = package
        self._resources = resources
        self._read: Catalogue | None = None

    def catalogue(self) -> Catalogue:
        """Return the catalogue, read once. A method, as a plugin's properties are all looked at on registration.

        :raises CatalogueFileError: with everything that is wrong in the files.
        """
        if self._read is None:
            self._read = self.read()
        return self._read

    def read(self) -> Catalogue:
        """Read the files, as they are now."""
        folder = files(self._package)
        return Catalogue([read_part(name, folder.joinpath(name).read_bytes()) for name in self._resources])

    def placed_fault(self, fault: Fault) -> Fault:
        """Say of a fault in which file and line it stands, where the files can be read."""
        if self._read is None:
            return fault
        found = self._read.places.fault(fault)
        return Fault(f"{found.file}, line {found.line}, {fault.item}", fault.reason)

    @hookimpl
    def bagatelle_contract(self) -> int:
        """Say which version of the contract the form keeps to: always the host's own, being part of it."""
        return CONTRACT_VERSION

    @hookimpl
    def bagatelle_instruments(self) -> tuple[Instrument, ...]:
        """Hand over the instrument."""
        return (self.catalogue().instrument,)

    @hookimpl
    def bagatelle_texts(self) -> tuple[Texts, ...]:
        """Hand over the texts."""
        return self.catalogue().texts

    @hookimpl
    def bagatelle_material(self, exercise: str, settings: Mapping[str, Any]) -> Material:
        """Turn settings into units.

        :raises ValueError: where settings do not go together.
        """
        return self.catalogue().material(exercise, settings)
