"""American texts say what the English ones say: the same sentence, but for the trade's other words.

A text that is changed in one of the two alone is seen here. The pairs of words are common practice, no source.
"""

import json
import re
from pathlib import Path
from typing import Any, Final

import pytest

from tests.architecture.source_tree import ROOT

FOLDERS: Final = (
    "shared/bagatelle/wording",
    "plugins/piano/bagatelle_piano/texts",
    "plugins/snare_drum/bagatelle_snare_drum/texts",
)
WORDS: Final = {
    "semibreve": "whole note",
    "minim": "half note",
    "crotchet rest": "quarter rest",
    "crotchet": "quarter note",
    "semiquaver": "sixteenth note",
    "demisemiquaver": "thirty-second note",
    "quaver": "eighth note",
    "triplet quavers": "eighth-note triplets",
    "sextuplet semiquavers": "sixteenth-note sextuplets",
    "quintuplet semiquavers": "sixteenth-note quintuplets",
    "bar line": "bar line",
    "bar": "measure",
    "metre": "meter",
    "centimetre": "centimeter",
    "practise": "practice",
    "spelt": "spelled",
    "outwards": "outward",
    "interrupted one": "deceptive one",
}
TYPED: Final = (".also_called", ".passed-over")
"""Endings of texts that hold what learners type, of either kind; they are never shown."""
NAMED_OTHERWISE: Final = {
    "engine.list.last",  # the comma before the last of a list
    "piano.cadence-kind.imperfect",
    "piano.cadence-kind.interrupted",
    "piano.cadence-kind.perfect",
}
_KNOWN: Final = re.compile(
    r"\{[^}]*\}|\b(" + "|".join(sorted(WORDS, key=len, reverse=True)) + r")(s?)\b", re.IGNORECASE
)


def _american(match: re.Match[str]) -> str:
    """A word in American; a parameter in braces as it stands."""
    word = match[1]
    if word is None:
        return match[0]
    found = WORDS[word.lower()] + match[2]
    return found.capitalize() if word[0].isupper() else found


def in_american(text: Any) -> Any:
    if isinstance(text, str):
        return _KNOWN.sub(_american, text)
    return {part: sentence if part == "by" else in_american(sentence) for part, sentence in text.items()}


def texts(folder: str, locale: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(Path(ROOT, folder, f"{locale}.json").read_bytes())
    return read


@pytest.mark.parametrize("folder", FOLDERS)
def test_an_american_text_is_the_english_one_in_other_words(folder: str) -> None:
    english, american = texts(folder, "en"), texts(folder, "en-US")
    shown = {
        name: american.get(name, text)
        for name, text in english.items()
        if not name.endswith(TYPED) and name not in NAMED_OTHERWISE
    }
    assert shown == {name: in_american(english[name]) for name in shown}


def test_every_exception_is_needed() -> None:
    for name in NAMED_OTHERWISE:
        folder = next(each for each in FOLDERS if name in texts(each, "en"))
        assert texts(folder, "en-US")[name] != in_american(texts(folder, "en")[name])
