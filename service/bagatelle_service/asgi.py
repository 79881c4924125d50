"""What a server loads: the application, put together from the environment."""

import logging.config
from typing import TYPE_CHECKING

from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded, load_without_searches
from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_loading import Trial
from bagatelle_service.settings import Settings, settings_from_environment

if TYPE_CHECKING:
    from bagatelle_service.engine_processes import EngineProcesses
    from bagatelle_service.frame import Frame


def create() -> "Frame":
    """Make the application. Used as a factory, once in each worker."""
    load_without_searches()
    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    trial = Trial(settings)
    # Imported while plugins are tried in a process of their own, which takes as long.
    from bagatelle_service.app import create_app

    plugins, instruments = trial.load()
    frame = create_app(settings, instruments, processes=engine_processes(settings, plugins))
    keep_what_is_loaded()
    return frame


def engine_processes(settings: Settings, plugins: PluginChoice | None = None) -> "EngineProcesses | None":
    """The processes that the settings ask for, where they ask for any.

    :param plugins: those to load; None: all that are installed.
    """
    from bagatelle_service.engine_processes import EngineProcesses
    from bagatelle_service.plugin_watch import PluginWatch

    if settings.engine_processes == 0:
        return None
    return EngineProcesses(
        settings.engine_processes,
        settings.clock_seconds,
        plugins=plugins,
        watch=PluginWatch(settings.plugin_limits),
    )
