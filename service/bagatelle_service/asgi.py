"""What a server loads: the application, put together from the environment."""

import logging.config

from bagatelle import load_instruments

from bagatelle_service.app import create_app
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.frame import Frame
from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.settings import Settings, settings_from_environment


def create() -> Frame:
    """Make the application. Used as a factory, once in each worker."""
    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    frame = create_app(settings, load_instruments(), processes=engine_processes(settings))
    keep_what_is_loaded()
    return frame


def engine_processes(settings: Settings) -> EngineProcesses | None:
    """The processes that the settings ask for, where they ask for any."""
    if settings.engine_processes == 0:
        return None
    return EngineProcesses(settings.engine_processes, settings.clock_seconds)
