"""The instrument, its exercises and its texts, as the data files hold them."""

from typing import Final

import msgspec
from bagatelle.contract import Instrument, Texts

from bagatelle_snare_drum.resources import read_resource

LOCALES: Final = ("en", "en-US")


def instrument() -> Instrument:
    """Return the snare drum with all its exercises."""
    return msgspec.json.decode(read_resource("catalogue.json"), type=Instrument)


def texts() -> tuple[Texts, ...]:
    """Return the texts of every locale; `en-US` holds only what differs."""
    return tuple(
        Texts(
            locale=locale,
            messages=msgspec.json.decode(
                read_resource(f"texts/{locale}.json"), type=dict[str, str | dict[str, str]]
            ),
        )
        for locale in LOCALES
    )
