"""The family of an ordinary instrument that no plugin knows, from its name as a player writes it, in English.

A closed table of the names that are used in the trade. A longer name ends in one of them ("alto saxophone"), unless
it stands here itself ("english horn").
"""

from collections.abc import Mapping
from typing import Final

from bagatelle.model.exercise import Family

_NAMES: Final[Mapping[Family, tuple[str, ...]]] = {
    "voice": (
        "voice",
        "singer",
        "singing",
        "vocals",
        "soprano",
        "mezzo soprano",
        "contralto",
        "tenor",
        "baritone",
    ),
    "wind": (
        "flute",
        "piccolo",
        "recorder",
        "oboe",
        "cor anglais",
        "english horn",
        "clarinet",
        "basset horn",
        "bassoon",
        "contrabassoon",
        "saxophone",
        "sax",
        "whistle",
        "fife",
    ),
    "brass": (
        "trumpet",
        "cornet",
        "flugelhorn",
        "horn",
        "trombone",
        "euphonium",
        "baritone horn",
        "tuba",
        "sousaphone",
    ),
    "bowed": (
        "violin",
        "fiddle",
        "viola",
        "cello",
        "violoncello",
        "double bass",
        "upright bass",
        "string bass",
        "contrabass",
        "viol",
        "viola da gamba",
    ),
    "plucked": (
        "guitar",
        "bass guitar",
        "electric bass",
        "harp",
        "lute",
        "theorbo",
        "mandolin",
        "banjo",
        "ukulele",
        "bouzouki",
        "zither",
        "sitar",
    ),
    "keyboard": (
        "piano",
        "keyboard",
        "organ",
        "harpsichord",
        "clavichord",
        "celesta",
        "accordion",
        "synthesizer",
    ),
    "percussion": (
        "percussion",
        "drum",
        "drums",
        "drum kit",
        "drum set",
        "timpani",
        "marimba",
        "xylophone",
        "vibraphone",
        "glockenspiel",
        "cajon",
        "congas",
        "bongos",
        "tabla",
    ),
}
_FAMILIES: Final[Mapping[str, Family]] = {name: family for family, names in _NAMES.items() for name in names}


def ordinary_family(name: str) -> Family | None:
    """Return the family of an instrument's name, or of the longest end of it that stands in the table."""
    words = name.casefold().replace("-", " ").replace("_", " ").split()
    ends = (" ".join(words[start:]) for start in range(len(words)))
    return next((_FAMILIES[end] for end in ends if end in _FAMILIES), None)
