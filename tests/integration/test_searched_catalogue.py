"""What the search finds in the catalogue as it is: by every word of a title, every other name, every choice."""

from collections.abc import Iterable

import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.catalogue.search import Wanted
from bagatelle.catalogue.title_index import choices_of, names_of
from bagatelle.catalogue.title_words import plain_words

LOCALES = ("en-GB", "en-US")
ALL = 1000


@pytest.fixture(scope="module")
def instruments() -> Instruments:
    return load_instruments()


def found(instruments: Instruments, words: str, instrument: str, locale: str = "en-GB") -> list[str]:
    wanted = Wanted(words=words, instrument=(instrument,))
    return [each.exercise.id for each in instruments.search.page(wanted, locale, limit=ALL).exercises]


def not_found(
    instruments: Instruments, asked: Iterable[tuple[str, str]], locale: str
) -> list[tuple[str, str]]:
    """Of words and the exercise that they are of, those that do not find it among its instrument's."""
    return [
        (words, exercise)
        for words, exercise in asked
        if exercise not in found(instruments, words, exercise.partition(".")[0], locale)
    ]


@pytest.mark.parametrize("locale", LOCALES)
def test_each_word_of_a_title_finds_its_exercise(instruments: Instruments, locale: str) -> None:
    titles = {each.id: names_of(each, instruments.wording, locale)[0] for each in instruments.exercises}
    asked = {(word, exercise) for exercise, title in titles.items() for word in plain_words(title)}
    assert not_found(instruments, asked, locale) == []


@pytest.mark.parametrize("locale", LOCALES)
def test_each_name_finds_its_exercise(instruments: Instruments, locale: str) -> None:
    asked = {
        (name, each.id)
        for each in instruments.exercises
        for name in names_of(each, instruments.wording, locale)
    }
    assert not_found(instruments, asked, locale) == []


def test_each_choice_of_a_setting_finds_its_exercise(instruments: Instruments) -> None:
    asked = {(choice, each.id) for each in instruments.exercises for choice in choices_of(each)}
    assert not_found(instruments, asked, "en-GB") == []


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize(
    ("british", "american", "exercise"),
    [
        # Names of note values in Britain and America: common practice, no source.
        ("quavers", "eighth notes", "piano.major-scale"),
        ("semiquavers", "sixteenth notes", "piano.trill"),
        ("crotchets", "quarter notes", "piano.rhythm-ladder"),
        ("minims", "half notes", "piano.cadence"),
        ("semibreves", "whole notes", "musicianship.note-values"),
    ],
)
def test_note_values_are_found_by_either_name(
    instruments: Instruments, locale: str, british: str, american: str, exercise: str
) -> None:
    asked = [(british, exercise), (american, exercise)]
    assert not_found(instruments, asked, locale) == []


@pytest.mark.parametrize(
    ("words", "instrument", "first"),
    [
        # What stands in a title, a text or a setting; the words of the trade, common practice, no source.
        ("the metronome", "piano", "piano.off-beat-click"),
        ("patterns", "guitar", "guitar.strumming"),
        ("both hands", "piano", "piano.tapping-hands"),
        ("4 against 3", "piano", "piano.cross-rhythm"),
        ("2-5-1", "piano", "piano.progressions"),
        ("inverted flam tap", "snare-drum", "snare-drum.flams"),
        ("triple ratamacue", "snare-drum", "snare-drum.drags"),
        ("eleven stroke roll", "snare-drum", "snare-drum.rolls"),
        ("six stroke roll", "snare-drum", "snare-drum.rolls"),
        ("swiss army triplet", "snare-drum", "snare-drum.flams"),
        ("single stroke roll", "snare-drum", "snare-drum.single-strokes"),
        ("speed building", "guitar", "guitar.step-up"),
        ("memorize", "piano", "piano.from-memory"),
        ("memorisation", "guitar", "guitar.from-memory"),
        ("sustain pedal", "piano", "piano.syncopated-pedal"),
        ("site reading", "piano", "piano.sight-reading"),
        ("tremolo", "piano", "piano.rotation"),
        ("solfege", "piano", "piano.interval-singing"),
        ("flatpicking", "guitar", "guitar.alternate-picking"),
        ("CAGED", "guitar", "guitar.pentatonic-shapes"),
        ("double stops in thirds", "violin", "violin.thirds"),
        ("doublestops", "violin", "violin.octaves"),
        ("embouchure", "trumpet", "trumpet.free-buzzing"),
        ("transpose", "trumpet", "trumpet.transposition"),
        ("wire brushes", "snare-drum", "snare-drum.brushes"),
        ("solfeggio", "voice", "voice.sol-fa-scales"),
    ],
)
def test_what_is_meant_comes_first(instruments: Instruments, words: str, instrument: str, first: str) -> None:
    assert found(instruments, words, instrument)[0] == first
