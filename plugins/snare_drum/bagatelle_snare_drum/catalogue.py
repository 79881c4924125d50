"""What is made by code: the instrument, its exercises and its texts, as the JSON files hold them."""

from typing import Final

import msgspec
from bagatelle.contract import Instrument, Texts

from bagatelle_snare_drum.resources import read_resource

LOCALES: Final = ("en", "en-US")
FILES: Final = (
    "more.toml",
    "strokes.toml",
    "figures.toml",
    "sound.toml",
    "time.toml",
    "music.toml",
    "learning.toml",
)
"""What the exercises that need no code stand in."""


def instrument() -> Instrument:
    """Return the snare drum with the exercises that are made by code."""
    return msgspec.json.decode(read_resource("catalogue.json"), type=Instrument)


def texts() -> tuple[Texts, ...]:
    """Return their texts in every locale; `en-US` holds only what differs."""
    return tuple(
        Texts(
            locale=locale,
            messages=msgspec.json.decode(
                read_resource(f"texts/{locale}.json"), type=dict[str, str | dict[str, str]]
            ),
        )
        for locale in LOCALES
    )
