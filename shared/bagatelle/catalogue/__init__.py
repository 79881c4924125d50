"""The host's side of the plugin contract: find plugins, examine what they hand over, and ask them."""

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.catalogue.plugin import PluginReport

__all__ = ("Instruments", "PluginReport", "load_instruments")
