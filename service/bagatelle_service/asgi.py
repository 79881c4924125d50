"""What a server loads: the application, put together from the environment."""

import logging.config
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

from bagatelle import Instruments

from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded, load_without_searches
from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_loading import Trial
from bagatelle_service.settings import Settings, settings_from_environment

if TYPE_CHECKING:
    from bagatelle_service.frame import Frame

Loaded: TypeAlias = tuple[PluginChoice, Instruments]
_handed_down: Loaded | None = None


def hand_down(loaded: Loaded) -> None:
    """Keep what plugins came to for the workers that are forked from this process; others load it themselves."""
    global _handed_down
    _handed_down = loaded


def create() -> "Frame":
    """Make the application. Used as a factory, once in each worker."""
    load_without_searches()
    settings = settings_from_environment()
    logging.config.dictConfig(log_configuration(settings.log_format))
    load = _loading(settings)
    # Imported while plugins are tried, where nothing was handed down.
    from bagatelle_service.app import create_app
    from bagatelle_service.engine_processes import processes_of

    plugins, instruments = load()
    frame = create_app(settings, instruments, processes=processes_of(settings, plugins))
    keep_what_is_loaded()
    return frame


def _loading(settings: Settings) -> Callable[[], Loaded]:
    """Begin to try the plugins, unless what they came to was handed down; return what waits for them."""
    handed_down = _handed_down
    return Trial(settings).load if handed_down is None else lambda: handed_down
