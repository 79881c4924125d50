"""The voice for Bagatelle: all of it stands in the TOML files beside this one."""

from typing import Final

from bagatelle.toml_catalogue import CataloguePlugin

plugin: Final = CataloguePlugin(
    "bagatelle_voice",
    "voice.toml",
    "warm_up.toml",
    "tone.toml",
    "patterns.toml",
    "range.toml",
    "text.toml",
    "songs.toml",
    "ear.toml",
    "harmony.toml",
    "young.toml",
)
