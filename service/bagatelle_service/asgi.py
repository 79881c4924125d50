"""What a server loads: the application, put together from the environment."""

import logging.config
from typing import TYPE_CHECKING

from bagatelle_service.trial_process import begin_by_environment

if TYPE_CHECKING:
    from bagatelle import Instruments

    from bagatelle_service.frame import Frame
    from bagatelle_service.plugin_choice import PluginChoice

_handed_down: "tuple[PluginChoice, Instruments] | None" = None


def hand_down(loaded: "tuple[PluginChoice, Instruments]") -> None:
    """Keep what plugins came to for the workers that are forked from this process; others load it themselves."""
    global _handed_down
    _handed_down = loaded


def create() -> "Frame":
    """Make the application. Used as a factory, once in each worker."""
    # Plugins are tried in a process of their own while this one imports what it needs, which takes as long.
    begun = begin_by_environment() if _handed_down is None else None

    from bagatelle_service.memory import keep_what_is_loaded, load_without_searches

    load_without_searches()

    from bagatelle_service.logs import log_configuration
    from bagatelle_service.plugin_loading import Trial
    from bagatelle_service.settings import settings_from_environment

    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    trial = None if begun is None else Trial(settings, begun)

    from bagatelle_service.app import create_app
    from bagatelle_service.engine_processes import processes_of

    plugins, instruments = _handed_down or (trial or Trial(settings)).load()
    frame = create_app(settings, instruments, processes=processes_of(settings, plugins))
    keep_what_is_loaded()
    return frame
