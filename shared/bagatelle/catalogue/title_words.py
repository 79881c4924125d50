"""Titles as people write them, folded to words that can be compared.

Folding takes away what does not tell titles apart: case, accents, signs, the plural's s, and whether a number
is written in figures.
"""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from typing import Final

from rapidfuzz.distance import OSA

from bagatelle.model.text import Message
from bagatelle.wording.render import Wording

LETTERS_LIMIT: Final = 200
WORDS_LIMIT: Final = 16
"""What comes later in a title is not looked at, so that the work is bounded."""
SAME: Final = 100
"""Likeness of a word to itself; likenesses are whole hundredths."""
BEGUN: Final = 85
"""Likeness of a word to one that it is the beginning of: "chrom" for "chromatic"."""
_LEAST_BEGUN_LETTERS: Final = 3
_ONE_SLIP_LETTERS: Final = 5
_TWO_SLIPS_LETTERS: Final = 9
_MOST_SLIPS: Final = 2
_NUMBERS_WITH_WORDS: Final = range(1, 13)
_WORD: Final = re.compile(r"[^\W\d_]+|\d+")


def number_words(wording: Wording, locale: str) -> dict[str, str]:
    """The words of the locale for one to twelve, each with its figures."""
    return {
        wording.render(Message(f"engine.number.{number}"), locale).casefold(): str(number)
        for number in _NUMBERS_WITH_WORDS
    }


def folded_words(text: str, numbers: Mapping[str, str]) -> tuple[str, ...]:
    """The words of a text, folded, at most `WORDS_LIMIT` of its first `LETTERS_LIMIT` characters."""
    words = plain_words(text[:LETTERS_LIMIT])[:WORDS_LIMIT]
    return tuple(numbers.get(word) or singular(word) for word in words)


def plain_words(text: str) -> list[str]:
    """The words of a text without case and accents, nothing else of them changed."""
    plain = text.casefold()
    if not plain.isascii():
        spread = unicodedata.normalize("NFKD", plain).casefold()
        plain = "".join(letter for letter in spread if not unicodedata.combining(letter))
    return _WORD.findall(plain)


class KnownWords:
    """Words that others are compared with, laid out so that few comparisons are needed."""

    def __init__(self, words: Iterable[str], *, whole: Container[str]) -> None:
        """Lay the words out.

        :param whole: those of them that their beginning does not stand for.
        """
        self._words = frozenset(words)
        self._near: dict[tuple[str, int], list[tuple[str, int]]] = defaultdict(list)
        """By first letter and length of a word: what it may be by a slip, and how many slips that may have."""
        self._by_beginning: dict[str, list[str]] = defaultdict(list)
        for word in sorted(self._words):
            for length in range(len(word) - _MOST_SLIPS, len(word) + _MOST_SLIPS + 1):
                slips = _slips(max(length, len(word)))
                if not word.isdecimal() and abs(length - len(word)) <= slips:
                    self._near[word[0], length].append((word, slips))
            if word not in whole:
                for length in range(_LEAST_BEGUN_LETTERS, len(word)):
                    self._by_beginning[word[:length]].append(word)

    def __contains__(self, word: str) -> bool:
        return word in self._words

    def alike(self, word: str) -> tuple[tuple[str, int], ...]:
        """The known words that a word may be, each with its likeness in whole hundredths.

        It is the word itself, where that is known; else what it is the beginning of, and what it may be by a
        slip of the pen: a letter left out, put in or changed, or two neighbours changed about (optimal string
        alignment, which is a whole number and so the same in every build of the library). Long words may
        have two slips. The first letter is taken to be right.
        """
        if word in self._words:
            return ((word, SAME),)
        alike = dict.fromkeys(self._by_beginning.get(word, ()), BEGUN)
        for known, slips in self._near.get((word[0], len(word)), ()):
            distance = OSA.distance(word, known, score_cutoff=slips)
            if distance <= slips:
                like = SAME - SAME * distance // max(len(word), len(known))
                alike[known] = max(alike.get(known, 0), like)
        return tuple(alike.items())


def _slips(letters: int) -> int:
    """How many slips of the pen a word of so many letters may have."""
    return 0 if letters < _ONE_SLIP_LETTERS else 1 if letters < _TWO_SLIPS_LETTERS else _MOST_SLIPS


def singular(word: str) -> str:
    """A word without the s of its plural, as English has it; other languages fold alike on both sides."""
    if len(word) > 4 and word.endswith("ies"):
        return f"{word[:-3]}y"
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
