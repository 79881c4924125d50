"""Musicianship for Bagatelle: all of it stands in the TOML files beside this one."""

from typing import Final

from bagatelle.toml_catalogue import CataloguePlugin

plugin: Final = CataloguePlugin(
    "bagatelle_musicianship",
    "musicianship.toml",
    "ear.toml",
    "degrees.toml",
    "listening.toml",
    "pulse.toml",
    "rhythm.toml",
    "singing.toml",
    "keys.toml",
    "theory.toml",
    "harmony.toml",
    "improvisation.toml",
    "score.toml",
)
