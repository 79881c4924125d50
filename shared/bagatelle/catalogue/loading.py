"""Find plugins by their entry points; take those that are right, leave out the others with a reason."""

import logging
from collections.abc import Collection, Iterable, Mapping
from importlib import metadata
from typing import Any, Final, Protocol, runtime_checkable

from bagatelle.catalogue.answers import close, data_hash
from bagatelle.catalogue.faults import Fault, RefusedError, raised
from bagatelle.catalogue.hooks import LateHooks, PluginHooks
from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.plugin import ExaminedPlugin, LoadedPlugin, PluginReport
from bagatelle.catalogue.validation import answers_of, examine
from bagatelle.contract import CONTRACT_VERSION, ENTRY_POINT_GROUP
from bagatelle.wrong_fields import CheckedSchema

LOGGER: Final = logging.getLogger("bagatelle.catalogue")


class Distribution(Protocol):
    """What is asked of the distribution that an entry point belongs to."""

    @property
    def name(self) -> str:
        """Its name."""
        ...

    @property
    def version(self) -> str:
        """Its version."""
        ...


class EntryPoint(Protocol):
    """What is asked of an entry point; `importlib.metadata` has such ones."""

    @property
    def name(self) -> str:
        """Its name."""
        ...

    @property
    def dist(self) -> Distribution | None:
        """Where it comes from."""
        ...

    def load(self) -> Any:
        """Import what it names."""
        ...


@runtime_checkable
class PlacesFaults(Protocol):
    """A plugin that knows where its data stand, as one that is made of files does."""

    def placed_fault(self, fault: Fault) -> Fault:
        """Say of a fault in which file and line it stands; return it as it is where that is not known."""
        ...


@runtime_checkable
class ExaminedElsewhere(Protocol):
    """An entry point whose plugin another process has examined."""

    def examined(self) -> ExaminedPlugin | None:
        """Return what it found right; None where it is to be examined here.

        :raises RefusedError: where it is not to be loaded.
        """
        ...


def accepted_contracts(current: int = CONTRACT_VERSION) -> tuple[int, ...]:
    """Return the contract versions that a host of the given version takes: its own and the one before."""
    return tuple(version for version in (current, current - 1) if version >= 1)


def installed_plugins() -> tuple[EntryPoint, ...]:
    """Return the entry points of every plugin that is installed, by name; nothing is imported."""
    return tuple(sorted(metadata.entry_points(group=ENTRY_POINT_GROUP), key=lambda each: each.name))


def load_instruments(
    *,
    entry_points: Iterable[EntryPoint] | None = None,
    allowed: Collection[str] | None = None,
    left_out: Mapping[str, str] | None = None,
    catalogues: Iterable[EntryPoint] = (),
) -> Instruments:
    """Load every plugin that is installed, in the order of their names.

    A plugin that fails on import, on registration or with wrong data is left out whole, named with its
    reason in `Instruments.plugins` and in the log; everything else is loaded.

    :param entry_points: what to load instead of what is installed.
    :param allowed: names of the entry points to load; the others are not even imported. None allows all. A name
        that nothing has is named among the plugins, and in the log.
    :param left_out: entry points that are not to be imported though they are allowed, with the reason.
    :param catalogues: further ones, which need no leave as they have no code; loaded after the others.
    """
    found = installed_plugins() if entry_points is None else entry_points
    candidates = _in_order(found)
    without_code = _in_order(catalogues)
    if allowed is not None:
        allowed = {*allowed, *(candidate.name for candidate in without_code)}
    candidates += without_code
    loaded: list[LoadedPlugin] = []
    reports = []
    for candidate in candidates:
        if allowed is not None and candidate.name not in allowed:
            reports.append(candidate.report("it is not among the plugins allowed"))
            continue
        try:
            candidate.refuse_beforehand(left_out or {})
            loaded.append(candidate.load(loaded))
            reports.append(candidate.report(None))
        except RefusedError as error:
            LOGGER.warning("plugin %r is left out: %s", candidate.name, error)
            reports.append(candidate.report(str(error)))
    reports.extend(_allowed_in_vain(allowed or (), {candidate.name for candidate in candidates}))
    return Instruments(tuple(loaded), tuple(sorted(reports, key=lambda report: report.name)))


def _in_order(points: Iterable[EntryPoint]) -> "list[_Candidate]":
    return sorted(
        (_Candidate(point) for point in points), key=lambda each: (each.name, each.distribution or "")
    )


def _allowed_in_vain(allowed: Collection[str], found: Collection[str]) -> Iterable[PluginReport]:
    """A report for each name that is allowed and that no installed plugin has."""
    for name in sorted(set(allowed) - set(found)):
        reason = "it is among the plugins allowed, and no plugin of this name is installed"
        LOGGER.warning("plugin %r is left out: %s", name, reason)
        yield PluginReport(
            name=name,
            distribution=None,
            version=None,
            contract=None,
            hash=None,
            status="not installed",
            reason=reason,
            instruments=(),
        )


def load_plugin(point: EntryPoint) -> LoadedPlugin:
    """Load one plugin by itself, whatever else is installed.

    :raises RefusedError: where it would be left out, with every fault.
    """
    return _Candidate(point).load(())


def examine_plugin(point: EntryPoint) -> ExaminedPlugin:
    """Examine one plugin, to tell another process of it.

    :raises RefusedError: where it would be left out, with every fault.
    """
    candidate = _Candidate(point)
    plugin = candidate.load(())
    return ExaminedPlugin(
        report=candidate.report(None),
        instruments=plugin.instruments,
        texts=plugin.texts,
        materials=plugin.materials,
    )


class _Candidate:
    """A plugin on its way in: what was learnt of it so far."""

    def __init__(self, point: EntryPoint) -> None:
        self._point = point
        self.name = point.name
        self.distribution, self._version = _distribution_of(point)
        self._plugin: object = None
        self._contract: int | None = None
        self._hash: str | None = None
        self._instruments: tuple[str, ...] = ()

    def refuse_beforehand(self, left_out: Mapping[str, str]) -> None:
        """Refuse it unseen where it is among those.

        :raises RefusedError: with the reason given there.
        """
        if self.name in left_out:
            raise RefusedError([Fault("load", left_out[self.name])])

    def load(self, earlier: Iterable[LoadedPlugin]) -> LoadedPlugin:
        """Import, register, ask and examine.

        :raises RefusedError: at the first of these that goes wrong, with every fault of it.
        """
        try:
            return self._examined(earlier)
        except RefusedError as error:
            if isinstance(self._plugin, PlacesFaults):
                raise RefusedError(map(self._plugin.placed_fault, error.faults)) from error
            raise
        except BaseException as error:  # an object of the plugin's may do anything while it is looked at
            raise RefusedError([raised("examination", error)]) from error

    def _examined(self, earlier: Iterable[LoadedPlugin]) -> LoadedPlugin:
        elsewhere = self._point.examined() if isinstance(self._point, ExaminedElsewhere) else None
        plugin = self._examined_here() if elsewhere is None else self._taken(elsewhere)
        _check_against_earlier(plugin, earlier)
        return plugin

    def _taken(self, examined: ExaminedPlugin) -> LoadedPlugin:
        """Take what another process found right; the code is imported when it is first asked."""
        report = examined.report
        self._contract, self._hash, self._instruments = report.contract, report.hash, report.instruments
        return LoadedPlugin(
            name=self.name,
            version=self._version or "unknown",
            hash=report.hash or "",
            hooks=LateHooks(self._point.load),
            instruments=examined.instruments,
            texts=examined.texts,
            settings={
                exercise.id: CheckedSchema(exercise.settings_schema)
                for instrument in examined.instruments
                for exercise in instrument.exercises
            },
            materials=examined.materials,
        )

    def _examined_here(self) -> LoadedPlugin:
        hooks = self._register()
        self._contract = _checked_contract(hooks)
        answers = answers_of(hooks)
        self._instruments = tuple(instrument.id for instrument in answers.instruments)
        self._hash = data_hash(answers.instruments, answers.texts)
        examined = examine(answers, hooks)
        return LoadedPlugin(
            name=self.name,
            version=self._version or "unknown",
            hash=self._hash,
            hooks=hooks,
            instruments=examined.instruments,
            texts=examined.texts,
            settings=examined.settings,
            materials=examined.materials,
        )

    def report(self, reason: str | None) -> PluginReport:
        """Say what became of it."""
        return PluginReport(
            name=self.name,
            distribution=self.distribution,
            version=self._version,
            contract=self._contract,
            hash=self._hash,
            status="loaded" if reason is None else "left out",
            reason=reason,
            instruments=self._instruments,
        )

    def _register(self) -> PluginHooks:
        try:
            self._plugin = self._point.load()
        except BaseException as error:
            raise RefusedError([raised("import", error)]) from error
        try:
            return PluginHooks(self._plugin)
        except RefusedError:
            raise
        except BaseException as error:
            raise RefusedError([raised("registration", error)]) from error


def _distribution_of(point: EntryPoint) -> tuple[str | None, str | None]:
    """Return name and version of the distribution, None where its metadata is absent or broken."""
    try:
        return (point.dist.name, point.dist.version) if point.dist else (None, None)
    except Exception as error:  # metadata is a file that anybody may have written
        LOGGER.warning("plugin %r: the metadata of its distribution cannot be read: %s", point.name, error)
        return None, None


def _checked_contract(hooks: PluginHooks) -> int:
    try:
        version = hooks.call("bagatelle_contract")
    except BaseException as error:
        raise RefusedError([raised("bagatelle_contract", error)]) from error
    accepted = accepted_contracts()
    if isinstance(version, bool) or not isinstance(version, int):
        close(version)
        reason = f"is a {type(version).__name__} (accepted: the number {accepted[0]})"
        raise RefusedError([Fault("bagatelle_contract", reason)])
    if version not in accepted:
        takes = " or ".join(map(str, accepted))
        reason = f"the plugin was written for contract version {version} (accepted: {takes})"
        raise RefusedError([Fault("bagatelle_contract", reason)])
    return version


def _check_against_earlier(plugin: LoadedPlugin, earlier: Iterable[LoadedPlugin]) -> None:
    faults = []
    for other in earlier:
        taken = {instrument.id for instrument in other.instruments}
        faults += [
            Fault(f"instrument {instrument.id!r}", f"the plugin {other.name!r} has it already")
            for instrument in plugin.instruments
            if instrument.id in taken
        ]
        faults += [
            Fault(identifier, f"the plugin {other.name!r} has it already")
            for identifier in plugin.settings
            if identifier in other.settings
        ]
    if faults:
        raise RefusedError(faults)
