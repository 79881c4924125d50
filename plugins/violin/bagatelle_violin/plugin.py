"""The violin for Bagatelle: all of it stands in the TOML files beside this one, `violin.toml` first."""

from typing import Final

from bagatelle.toml_catalogue import CataloguePlugin

plugin: Final = CataloguePlugin(
    "bagatelle_violin",
    "violin.toml",
    "fingerboard.toml",
    "tone.toml",
    "bow.toml",
    "left_hand.toml",
    "scales.toml",
    "double_stops.toml",
    "music.toml",
)
