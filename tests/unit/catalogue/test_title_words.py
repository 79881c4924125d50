"""Folding of titles, and the likeness of words."""

from collections.abc import Callable

import pytest
from bagatelle.catalogue.title_words import BEGUN, SAME, KnownWords, folded_words
from rapidfuzz.distance import OSA, OSA_py

from tests.unit.catalogue.titles_of_learners import TITLES, TITLES_NOT_SEEN

WORDS = KnownWords(["arpeggio", "chromatic", "flam", "paradiddle", "majorscale", "13"], whole={"majorscale"})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("C-major scales, 2 octaves!", ("c", "major", "scale", "2", "octave")),
        ("Étude für Übende", ("etude", "fur", "ubende")),
        ("five-stroke rolls at 60bpm", ("5", "stroke", "roll", "at", "60", "bpm")),
        ("studies, passes, press, chorus", ("study", "passe", "press", "chorus")),
        ("½ ﬁnger", ("1", "2", "finger")),
        ("", ()),
    ],
)
def test_folding(text: str, words: tuple[str, ...]) -> None:
    assert folded_words(text, {"five": "5"}) == words


@pytest.mark.parametrize(
    ("word", "alike"),
    [
        ("arpeggio", (("arpeggio", SAME),)),
        ("arp", (("arpeggio", BEGUN),)),
        ("ar", ()),
        ("arpegio", (("arpeggio", 88),)),  # one of eight left out
        ("apreggio", (("arpeggio", 88),)),  # two neighbours changed about are one slip
        ("parradidle", (("paradiddle", 80),)),  # two slips in ten letters
        ("paradole", ()),
        ("flan", ()),  # too short to be sure of
        ("xrpeggio", ()),
        ("major", ()),  # the beginning of a name written as one word stands for nothing
        ("majorscalle", (("majorscale", 91),)),
        ("14", ()),
    ],
)
def test_likeness(word: str, alike: tuple[tuple[str, int], ...]) -> None:
    assert WORDS.alike(word) == alike


def test_slips_are_counted_as_optimal_string_alignment() -> None:
    # The textbook pair that tells it from unrestricted Damerau-Levenshtein, which gives 2 (from memory:
    # Boytsov, "Indexing methods for approximate dictionary searching", 2011).
    assert OSA.distance("ca", "abc") == 3


def test_both_builds_of_the_library_count_alike() -> None:
    titles = [title for table in (TITLES, TITLES_NOT_SEEN) for rows in table.values() for title, _ in rows]
    in_python: Callable[..., int] = OSA_py.distance
    words = sorted({word for title in titles for word in folded_words(title, {})})
    for word in words:
        for other in words[::7]:
            assert OSA.distance(word, other, score_cutoff=2) == in_python(word, other, score_cutoff=2)
