"""Settings that a title names beyond doubt: a rudiment by its whole name, a key with its mode, a tempo in bpm.

What could be read in another way is left to the exercise's defaults: "a minor scale" is no scale in A minor.
Keys and modes are read in English.
"""

import re
import unicodedata
from collections.abc import Mapping
from typing import Any, Final

from bagatelle.model.exercise import Exercise

_BPM: Final = re.compile(r"(?<![\w.,/-])([1-9]\d{1,2}) ?bpm\b", re.IGNORECASE)
_NOTE: Final = r"(?<![\w'’-])([A-Ga-g])(#|♯|b|♭|[ -]sharp|[ -]flat)?"
_KEY: Final = re.compile(rf"{_NOTE}(?i:[ -](major|minor))\b")
_ANY_NOTE: Final = re.compile(rf"{_NOTE}(?![\w'’#♯♭])")
_ACCIDENTALS: Final = {"#": "#", "♯": "#", "sharp": "#", "b": "b", "♭": "b", "flat": "b"}
_KEYS: Final[Mapping[str, frozenset[str]]] = {
    "major": frozenset({"C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb"}),
    "minor": frozenset({"A", "E", "B", "F#", "C#", "G#", "D#", "A#", "D", "G", "C", "F", "Bb", "Eb", "Ab"}),
}
"""The keys with signatures of up to seven sharps or flats."""


def settings_said(exercise: Exercise, title: str, values: Mapping[str, tuple[str, ...]]) -> dict[str, Any]:
    """The settings of an exercise that a title says; empty where it says none for certain.

    Parameters
    ----------
    exercise
        Whose settings they are.
    title
        In the learner's words.
    values
        What the title names whole of what settings choose from, by setting.
    """
    properties: Mapping[str, Any] = exercise.settings_schema.get("properties", {})
    said: dict[str, Any] = {setting: list(names) for setting, names in values.items()}
    if "keys" in properties:
        said |= _key(exercise, properties, unicodedata.normalize("NFC", title))
    tempi = set(_BPM.findall(title))
    if "bpm" in properties and len(tempi) == 1:
        said["bpm"] = int(tempi.pop())
    return said


def _key(exercise: Exercise, properties: Mapping[str, Any], title: str) -> dict[str, Any]:
    found = list(_KEY.finditer(title))
    modes = {match[3].lower() for match in found}
    keys = [_name(match) for match in found]
    if len(modes) != 1 or len(keys) != len(_notes(title)) or any(map(_may_be_an_article, found)):
        return {}
    (mode,) = modes
    if not _KEYS[mode].issuperset(keys):
        return {}
    choosing = [setting for setting, schema in properties.items() if mode in schema.get("enum", ())]
    if len(choosing) == 1:
        return {"keys": [*dict.fromkeys(keys)], choosing[0]: mode}
    # Without a setting for it, the exercise itself must be of that mode.
    return {"keys": [*dict.fromkeys(keys)]} if mode in exercise.id.partition(".")[2].split("-") else {}


def _notes(title: str) -> list[str]:
    """Every note that stands in a title by itself; a small "a" is the article."""
    return [match[0] for match in _ANY_NOTE.finditer(title) if match[0] != "a"]


def _name(match: re.Match[str]) -> str:
    return match[1].upper() + _ACCIDENTALS.get((match[2] or "").strip(" -").lower(), "")


def _may_be_an_article(match: re.Match[str]) -> bool:
    return match[2] is None and (
        match[1] == "a" or (match[1] == "A" and not match.string[: match.start()].strip())
    )
