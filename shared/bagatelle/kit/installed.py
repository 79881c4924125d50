"""Whose ids are taken: those of the plugins that are installed."""

from collections.abc import Mapping
from functools import cache
from importlib import metadata

from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP


@cache
def owners_by_id(without: str = "") -> Mapping[str, str]:
    """By id of an instrument or exercise, the installed plugin that has it.

    Loaded once in a process, as nothing is installed while it runs.

    :param without: the entry point of a plugin that is not to be looked at, and not even imported.
    """
    names = metadata.entry_points(group=ENTRY_POINT_GROUP).names
    installed = load_instruments(allowed=names - {without})
    owners = {instrument: report.name for report in installed.plugins for instrument in report.instruments}
    return owners | {
        exercise.id: owners[instrument.id]
        for instrument in installed.instruments
        for exercise in instrument.exercises
    }
