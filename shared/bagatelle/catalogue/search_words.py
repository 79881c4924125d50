"""Words looked up in titles, other names, texts and what settings choose from, however they are spelt.

Each word that was typed must be found: as itself (case, accents, the plural's s and figures apart), as the
beginning of a longer one, or by slips of the pen (a letter left out, put in or changed, or two neighbours changed
about). Each of these has its points, more in a title than in a text, and what comes to most points is the best
match. Small words, such as "in" and "exercise", need not be found where another word is, and have few points.
"""

from array import array
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Final

from msgspec import Struct
from rapidfuzz import process
from rapidfuzz.distance import OSA

from bagatelle.catalogue.place_sets import set_of
from bagatelle.catalogue.title_words import WORDS_LIMIT, number_words, plain_words, singular
from bagatelle.model.text import Message
from bagatelle.wording.render import Wording

_ONE_SLIP_LETTERS: Final = 4
_TWO_SLIPS_LETTERS: Final = 8
_MOST_SLIPS: Final = 2
_CACHE_SIZE: Final = 256
_SAME: Final = (12, 10, 7, 6)
_BEGUN: Final = (9, 8, 4, 3)
_BY_SLIPS: Final = {1: (6, 5, 2, 1), 2: (3, 3, 1, 1)}
_SMALL: Final = (4, 3, 2, 1)
"""Points of a word in the title, in another name, in the texts, among what settings choose from.

Those of a small word all differ, as its places are kept by points.
"""

_Sets = Mapping[int, int]
"""By points, the set of places where a word has them; a place may have several."""


class SearchedTexts(Struct, frozen=True, kw_only=True):
    """What of one exercise is searched."""

    titles: tuple[str, ...]
    """One, or several where variants of the language have words of their own."""
    names: tuple[str, ...]
    texts: tuple[str, ...]
    choices: tuple[str, ...]
    """What its settings choose from."""


class Folding:
    """What of a text are its words, in one language."""

    def __init__(self, wording: Wording, locale: str) -> None:
        self._numbers = number_words(wording, locale)
        passed_over = plain_words(wording.render(Message("engine.search.passed-over"), locale))
        self._passed_over = frozenset(passed_over)

    def words(self, text: str) -> list[str]:
        """The words without case and accents, of those that are folded alike the first."""
        once: dict[str, str] = {}
        for word in plain_words(text):
            once.setdefault(self.folded(word), word)
        return list(once.values())

    def folded(self, word: str) -> str:
        """What all spellings of a word that count as the same are folded to: "scales", "five" as "scale", "5"."""
        single = singular(word)
        return self._numbers.get(word) or self._numbers.get(single) or single

    def is_small(self, word: str) -> bool:
        """Say whether a word need not be found where another is."""
        return word in self._passed_over


class SearchedWords:
    """The words of all exercises in one language. Nothing of it changes after it was made."""

    def __init__(self, searched: Sequence[SearchedTexts], folding: Folding) -> None:
        """Index the texts; the place of an exercise is its place among them."""
        self._folding = folding
        self._size = len(searched)
        self._places: tuple[dict[str, array[int]], ...] = ({}, {}, {}, {})
        lengths: dict[int, list[int]] = defaultdict(list)
        for place, each in enumerate(searched):
            lengths[min(len(folding.words(title)) for title in each.titles)].append(place)
            names = (*each.names, *_written_as_one((*each.titles, *each.names)))
            kinds = (each.titles, names, each.texts, each.choices)
            for places, texts in zip(self._places, kinds, strict=True):
                words = {word for text in texts for word in plain_words(text)}
                for spelling in words.union(map(folding.folded, words)):
                    places.setdefault(spelling, array("I")).append(place)
        self._by_title_length = [set_of(lengths[length], self._size) for length in sorted(lengths)]
        self._known = sorted(set().union(*self._places))
        self._by_letters: dict[int, list[str]] = defaultdict(list)
        for word in self._known:
            if not word.isdecimal():
                self._by_letters[len(word)].append(word)
        # Pure, and people type the same words.
        self._sets_of = lru_cache(_CACHE_SIZE)(self._looked_up)

    def matches(self, text: str) -> list[int] | None:
        """The places where the words of a text are found, in sets without overlap, the best matches first.

        Small words need not be found where another is. Of as many points, the shorter title is the better match.
        At most `WORDS_LIMIT` words are looked at.

        :returns: None where the text has no word.
        """
        words = self._folding.words(text)[:WORDS_LIMIT]
        if not words:
            return None
        everything = (1 << self._size) - 1
        small = set(filter(self._folding.is_small, words))
        only_small = len(small) == len(words)
        totals: Mapping[int, int] = {0: everything}
        for word, sets in zip(words, self._sets_of_each(words), strict=True):
            if word in small:
                less = sets if only_small else dict(self._in_all([self._folding.folded(word)], _SMALL))
                sets = {**less, 0: everything}
            totals = _added(totals, sets)
        tiers = (
            places & same
            for points, places in sorted(totals.items(), reverse=True)
            if points
            for same in self._by_title_length
        )
        return [tier for tier in tiers if tier]

    def _sets_of_each(self, words: Sequence[str]) -> Iterator[_Sets]:
        """What each word is found as: by itself, or with its neighbour ("para diddle")."""
        together: dict[str, list[str]] = defaultdict(list)
        for pair in pairwise(words):
            both = self._folding.folded("".join(pair))
            # Where folding leaves the first word as it is, that alone finds it too: one more never finds more.
            if both.startswith(pair[0]):
                for word in pair:
                    together[word].append(both)
        for word in words:
            sets = dict(self._sets_of(word))
            for points, places in self._in_all(together[word], _BEGUN):
                sets[points] = sets.get(points, 0) | places
            yield sets

    def _looked_up(self, word: str) -> _Sets:
        sets: dict[int, int] = defaultdict(int)
        for known, points_of_kinds in self._alike(word):
            for points, places in self._in_all(known, points_of_kinds):
                sets[points] |= places
        return sets

    def _alike(self, word: str) -> Iterator[tuple[list[str], tuple[int, ...]]]:
        """The known words that a word may be, by how close they come."""
        folded = self._folding.folded(word)
        yield [folded], _SAME
        yield self._begun(word), _BEGUN
        near: dict[int, list[str]] = defaultdict(list)
        for form in {word, folded}:
            if not form.isdecimal():
                for known, distance in self._near(form):
                    near[distance].append(known)
        for slips, points in _BY_SLIPS.items():
            yield near[slips], points

    def _begun(self, word: str) -> list[str]:
        found = []
        for place in range(bisect_left(self._known, word), len(self._known)):
            if not self._known[place].startswith(word):
                break
            found.append(self._known[place])
        return found

    def _near(self, word: str) -> Iterator[tuple[str, int]]:
        for letters in range(len(word) - _MOST_SLIPS, len(word) + _MOST_SLIPS + 1):
            slips = _slips(max(letters, len(word)))
            if abs(letters - len(word)) <= slips and letters in self._by_letters:
                known = self._by_letters[letters]
                for found, distance, _ in process.extract(
                    word, known, scorer=OSA.distance, score_cutoff=slips, limit=None
                ):
                    yield found, distance

    def _in_all(self, known: Iterable[str], points_of_kinds: tuple[int, ...]) -> Iterator[tuple[int, int]]:
        """By points, where any of some words stands in each kind of text."""
        words = list(known)
        for points, places in zip(points_of_kinds, self._places, strict=True):
            held = [places[word] for word in words if word in places]
            if held:
                yield points, set_of((place for each in held for place in each), self._size)


def _written_as_one(names: Iterable[str]) -> Iterator[str]:
    """Names of two words as people write them too: "sightreading"."""
    for name in names:
        words = plain_words(name)
        if len(words) == 2:
            yield "".join(words)


def _added(totals: Mapping[int, int], sets: _Sets) -> Mapping[int, int]:
    """The totals with the points of one word more, at each place the most that it has there."""
    added: dict[int, int] = defaultdict(int)
    seen = 0
    for points, places in sorted(sets.items(), reverse=True):
        fresh = places & ~seen
        seen |= places
        for total, before in totals.items():
            if both := before & fresh:
                added[total + points] |= both
    return added


def _slips(letters: int) -> int:
    """How many slips of the pen a word of so many letters may have."""
    return 0 if letters < _ONE_SLIP_LETTERS else 1 if letters < _TWO_SLIPS_LETTERS else _MOST_SLIPS
