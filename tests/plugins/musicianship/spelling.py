"""Notes in the words of the catalogue (`E flat`, `F double sharp`) and as music21 writes them (`E-`, `F##`)."""

from collections.abc import Iterable

from music21.pitch import Pitch

SIGNS = {"": "", " flat": "-", " sharp": "#", " double flat": "--", " double sharp": "##"}


def music21_name(words: str) -> str:
    letter, sign = words[0], words[1:]
    return letter + SIGNS[sign]


def in_words(pitch: Pitch) -> str:
    sign = {value: words for words, value in SIGNS.items()}[pitch.name[1:]]
    return pitch.name[0] + sign


def all_in_words(pitches: Iterable[Pitch], joint: str = "-") -> str:
    return joint.join(in_words(pitch) for pitch in pitches)


def notes_of(words: str) -> list[str]:
    """Split notes written one after the other, `C B flat A`, into their names as music21 writes them."""
    found: list[str] = []
    for word in words.replace(" double ", " double-").split():
        if len(word) == 1:
            found.append(word)
        else:
            found[-1] += SIGNS[" " + word.replace("-", " ")]
    return found
