"""The trumpet for Bagatelle: all of it stands in `trumpet.toml` and the files beside it."""

from typing import Final

from bagatelle.toml_catalogue import CataloguePlugin

plugin: Final = CataloguePlugin(
    "bagatelle_trumpet",
    "trumpet.toml",
    "sound.toml",
    "flexibility.toml",
    "scales.toml",
    "valves.toml",
    "tongue.toml",
    "strength.toml",
    "music.toml",
)
