"""Catalogues that come as texts, joined with the plugins that are loaded: what a school brings for itself alone."""

import hashlib
import logging
from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.answers import data_hash
from bagatelle.catalogue.faults import CHARACTERS_SHOWN, RefusedError, described
from bagatelle.catalogue.hooks import PluginHooks
from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.plugin import LoadedPlugin, PluginReport
from bagatelle.catalogue.validation import answers_of, examine
from bagatelle.contract import CONTRACT_VERSION
from bagatelle.toml_catalogue.catalogue import Catalogue
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.plugin import CataloguePlugin
from bagatelle.toml_catalogue.reading import read_part

LOGGER: Final = logging.getLogger("bagatelle.catalogue")
_ID: Final = "/instrument/id"


class CatalogueText(Struct, frozen=True):
    """A catalogue as somebody wrote it."""

    name: str
    """What it is called as a plugin, and in faults."""
    text: str


class JoinedCatalogues(Struct, frozen=True, kw_only=True):
    """The instruments that there are together."""

    instruments: Instruments
    refused: dict[str, CatalogueFileError]
    """Those that were left out, by name, with every fault and its line."""


def join_catalogues(instruments: Instruments, texts: Iterable[CatalogueText]) -> JoinedCatalogues:
    """Join catalogues with loaded instruments; one that is wrong is left out alone, with its reason in the reports.

    What is loaded wins: a catalogue whose instrument or name is taken is left out.

    :param instruments: what is loaded; its guard goes on standing before its own plugins, and before none that
        joins, as a catalogue has no code that could fail.
    """
    joining: list[LoadedPlugin] = []
    reports: list[PluginReport] = []
    refused: dict[str, CatalogueFileError] = {}
    for text in texts:
        try:
            plugin = _taken(text, instruments, joining)
        except CatalogueFileError as error:
            refused[text.name] = error
            reports.append(_report(text.name, None, error))
        else:
            joining.append(plugin)
            reports.append(_report(text.name, plugin, None))
    return JoinedCatalogues(instruments=instruments.joined_with(joining, reports), refused=refused)


class _TextPlugin(CataloguePlugin):
    """A catalogue that was read from a text."""

    def __init__(self, name: str, catalogue: Catalogue) -> None:
        super().__init__(name)
        self._of_text = catalogue

    def read(self) -> Catalogue:
        """Return the catalogue."""
        return self._of_text


def _taken(text: CatalogueText, loaded: Instruments, joining: Iterable[LoadedPlugin]) -> LoadedPlugin:
    """Examine a catalogue; whatever it is that nobody foresaw, it is no reason to serve nobody."""
    try:
        return _examined(text, loaded, joining)
    except CatalogueFileError:
        raise
    except Exception as error:
        LOGGER.exception("the catalogue %r is left out", text.name)
        fault = FileFault(text.name, 1, f"it cannot be read: {described(error)[:CHARACTERS_SHOWN]}")
        raise CatalogueFileError([fault]) from error


def _examined(text: CatalogueText, loaded: Instruments, joining: Iterable[LoadedPlugin]) -> LoadedPlugin:
    part = read_part(text.name, text.text.encode())
    catalogue = Catalogue([part])
    names = {report.name for report in loaded.plugins} | {plugin.name for plugin in joining}
    if text.name in names:
        raise CatalogueFileError([FileFault(text.name, 1, f"there is a plugin called {text.name!r} already")])
    instrument = catalogue.instrument.id
    taken = {each.id for plugin in joining for each in plugin.instruments}
    if instrument in taken or loaded.instrument(instrument) is not None:
        reason = f"the instrument {instrument!r} is there already (accepted: another id)"
        raise CatalogueFileError([part.fault(_ID, reason)])
    hooks = PluginHooks(_TextPlugin(text.name, catalogue))
    try:
        answers = answers_of(hooks)
        examined = examine(answers, hooks)
    except RefusedError as error:
        raise CatalogueFileError(catalogue.places.fault(fault) for fault in error.faults) from error
    return LoadedPlugin(
        name=text.name,
        version=catalogue.version,
        hash=_hash(text, data_hash(answers.instruments, answers.texts)),
        hooks=hooks,
        instruments=examined.instruments,
        texts=examined.texts,
        settings=examined.settings,
        materials=examined.materials,
    )


def _hash(text: CatalogueText, of_data: str) -> str:
    """Of the text too: the bars of a study are in neither instrument nor texts, and decide how long it takes."""
    of_both = hashlib.sha256(of_data.encode() + text.text.encode())
    return f"sha256:{of_both.hexdigest()}"


def _report(name: str, plugin: LoadedPlugin | None, error: CatalogueFileError | None) -> PluginReport:
    return PluginReport(
        name=name,
        distribution=None,
        version=None if plugin is None else plugin.version,
        contract=CONTRACT_VERSION,
        hash=None if plugin is None else plugin.hash,
        status="loaded" if plugin is not None else "left out",
        reason=None if error is None else str(error),
        instruments=() if plugin is None else tuple(each.id for each in plugin.instruments),
    )
