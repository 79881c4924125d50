"""What a server loads: the application, put together from the environment."""

import logging.config

from bagatelle_service.app import create_app
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.frame import Frame
from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_loading import tried_plugins
from bagatelle_service.plugin_watch import PluginWatch
from bagatelle_service.settings import Settings, settings_from_environment


def create() -> Frame:
    """Make the application. Used as a factory, once in each worker."""
    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    plugins = tried_plugins(settings)
    frame = create_app(settings, plugins.load(), processes=engine_processes(settings, plugins))
    keep_what_is_loaded()
    return frame


def engine_processes(settings: Settings, plugins: PluginChoice | None = None) -> EngineProcesses | None:
    """The processes that the settings ask for, where they ask for any.

    :param plugins: those to load; None: all that are installed.
    """
    if settings.engine_processes == 0:
        return None
    return EngineProcesses(
        settings.engine_processes,
        settings.clock_seconds,
        plugins=plugins,
        watch=PluginWatch(settings.plugin_limits),
    )
