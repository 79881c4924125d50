"""What a server loads: the application, put together from the environment."""

import logging.config

from bagatelle import load_instruments

from bagatelle_service.app import create_app
from bagatelle_service.frame import Frame
from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.settings import settings_from_environment


def create() -> Frame:
    """Make the application. Used as a factory, once in each worker."""
    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    frame = create_app(settings, load_instruments())
    keep_what_is_loaded()
    return frame
