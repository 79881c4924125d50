"""The guitar for Bagatelle: all of it stands in its TOML files."""

from typing import Final

from bagatelle.toml_catalogue import CataloguePlugin

plugin: Final = CataloguePlugin(
    "bagatelle_guitar",
    "guitar.toml",
    "choices.toml",
    "tone.toml",
    "right_hand.toml",
    "plectrum.toml",
    "left_hand.toml",
    "slurs.toml",
    "scales.toml",
    "fretboard.toml",
    "listening.toml",
    "music.toml",
)
