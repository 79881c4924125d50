"""What words find: a title itself, every word by a slip or its beginning, and nothing that is too far from it."""

from collections.abc import Callable

from bagatelle.catalogue.search import Wanted
from bagatelle.catalogue.title_words import plain_words, singular
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace
from rapidfuzz.distance import DamerauLevenshtein, Levenshtein

from tests.property.searched_catalogues import (
    NUMBERS,
    PASSED_OVER,
    TITLES,
    TRADE,
    WORDS,
    Catalogue,
    Described,
    catalogue_of,
    catalogues,
    described,
    schema_of,
)

LETTERS = st.sampled_from("abcdefghijklmnopqrstuvwxyz")
SEVERAL = catalogues(most=8).filter(lambda catalogue: bool(catalogue.described))

FEW_WORDS = st.lists(st.sampled_from(("minor", "scales", "in thirds", "one", "ones")), min_size=1, max_size=4)
ALIKE = catalogues(most=8, texts=FEW_WORDS.map(" ".join)).filter(lambda catalogue: bool(catalogue.described))


def found(catalogue: Catalogue, words: str) -> list[str]:
    page = catalogue.search.page(Wanted(words=words), "en-GB", limit=1000)
    return [each.exercise.id for each in page.exercises]


def folded(word: str) -> str:
    return NUMBERS.get(word) or NUMBERS.get(singular(word)) or singular(word)


def all_folded(text: str) -> set[str]:
    return set(map(folded, plain_words(text)))


def names(each: Described) -> list[str]:
    return [each.title, each.exercise.id.partition(".")[2], *each.also_called.split(",")]


def searched(each: Described) -> set[str]:
    """All words that stand in an exercise, as they stand and folded, and names of two written as one."""
    instrument = each.exercise.id.partition(".")[0]
    texts = (*names(each), *each.choices, each.what, each.how, instrument)
    words = {word for text in texts for word in plain_words(text)}
    pairs = (plain_words(name) for name in names(each))
    words |= {"".join(pair) for pair in pairs if len(pair) == 2}
    return words | set(map(folded, words))


@given(ALIKE, st.data())
def test_a_title_searched_for_is_first_or_ties(catalogue: Catalogue, data: st.DataObject) -> None:
    wanted = data.draw(st.sampled_from(catalogue.described))
    assume(all_folded(wanted.title))
    order = found(catalogue, wanted.title)
    titles = {each.exercise.id: each.title for each in catalogue.described}
    for better in order[: order.index(wanted.exercise.id)]:
        assert all_folded(titles[better]) == all_folded(wanted.title)
        assert better < wanted.exercise.id


def left_out(word: str, place: int, _: str) -> str:
    return word[:place] + word[place + 1 :]


def put_in(word: str, place: int, letter: str) -> str:
    return word[:place] + letter + word[place:]


def changed(word: str, place: int, letter: str) -> str:
    return word[:place] + letter + word[place + 1 :]


def changed_about(word: str, place: int, _: str) -> str:
    return word[:place] + word[place : place + 2][::-1] + word[place + 2 :]


Slip = Callable[[str, int, str], str]
SLIPS: tuple[Slip, ...] = (left_out, put_in, changed, changed_about)


@st.composite
def misspelt(draw: st.DrawFn, word: str, slips: int, kinds: tuple[Slip, ...] = SLIPS) -> str:
    for _ in range(slips):
        place = draw(st.integers(0, max(0, len(word) - 1)))
        word = draw(st.sampled_from(kinds))(word, place, draw(LETTERS))
    return word


def only(one: Described, title: str) -> Catalogue:
    """A catalogue of one exercise, of which nothing but its title has letters to be found by."""
    exercise = replace(one.exercise, settings_schema=schema_of([]))
    bare = replace(one, exercise=exercise, title=title, also_called="", what="0", how="0")
    return catalogue_of((bare,))


@given(described(0), st.text(LETTERS, min_size=4, max_size=9), st.data())
def test_a_slip_in_a_word_of_four_letters_or_more_still_finds_it(
    one: Described, word: str, data: st.DataObject
) -> None:
    assert found(only(one, word), data.draw(misspelt(word, 1))) == [one.exercise.id]


@given(described(0), st.text(LETTERS, min_size=8, max_size=8), st.data())
def test_two_slips_in_a_word_of_eight_letters_or_more_still_find_it(
    one: Described, word: str, data: st.DataObject
) -> None:
    typed = data.draw(misspelt(word, 2, SLIPS[:3]))
    assert Levenshtein.distance(word, typed) <= 2
    assert found(only(one, word), typed) == [one.exercise.id]


@given(described(0), st.text(LETTERS, min_size=1, max_size=9), st.integers(1, 3), st.data())
def test_more_slips_than_that_do_not(one: Described, word: str, slips: int, data: st.DataObject) -> None:
    typed = data.draw(misspelt(word, slips))
    assume(typed)
    catalogue = only(one, word)
    near = any(is_near(typed, known) for known in searched(catalogue.described[0]))
    assert near or found(catalogue, typed) == []


@given(SEVERAL, st.data())
def test_the_beginning_of_a_word_finds_it(catalogue: Catalogue, data: st.DataObject) -> None:
    each = data.draw(st.sampled_from(catalogue.described))
    words = plain_words(each.title)
    assume(words)
    word = data.draw(st.sampled_from(words))
    typed = word[: data.draw(st.integers(1, len(word)))]
    assert each.exercise.id in found(catalogue, typed)


@given(SEVERAL, st.data())
def test_each_word_is_found_as_it_stands_and_folded(catalogue: Catalogue, data: st.DataObject) -> None:
    each = data.draw(st.sampled_from(catalogue.described))
    texts = (*names(each), *each.choices, each.what, each.how)
    words = [word for text in texts for word in plain_words(text)]
    assume(words)
    word = data.draw(st.sampled_from(words))
    assert each.exercise.id in found(catalogue, word)
    assert each.exercise.id in found(catalogue, folded(word))


def most_slips(word: str, known: str) -> int:
    letters = max(len(word), len(known))
    return 0 if letters < 4 else 1 if letters < 8 else 2


def is_near(word: str, known: str) -> bool:
    """Whether a word may be meant by another: by the measure of distance that allows most."""
    if known.startswith(word) or folded(word) == folded(known):
        return True
    forms = (word, folded(word))
    return any(DamerauLevenshtein.distance(form, known) <= most_slips(form, known) for form in forms)


@given(SEVERAL, WORDS | st.sampled_from([word[:5] for word in TRADE]))
def test_nothing_is_found_that_is_too_far_from_the_word(catalogue: Catalogue, word: str) -> None:
    words = plain_words(word)
    assume(len(words) == 1)
    at_all = set(found(catalogue, word))
    for each in catalogue.described:
        if each.exercise.id in at_all:
            assert any(is_near(words[0], known) for known in searched(each))


@given(SEVERAL, WORDS)
def test_what_is_near_by_the_plain_distance_is_found(catalogue: Catalogue, word: str) -> None:
    words = plain_words(word)
    assume(len(words) == 1)
    at_all = set(found(catalogue, word))
    for each in catalogue.described:
        for known in plain_words(each.what):
            both_words = not (known.isdecimal() or word.isdecimal())
            if both_words and Levenshtein.distance(words[0], known) <= most_slips(words[0], known):
                assert each.exercise.id in at_all


@given(SEVERAL, TITLES)
def test_case_and_accents_make_no_difference(catalogue: Catalogue, words: str) -> None:
    plain = " ".join(plain_words(words))
    assert found(catalogue, words) == found(catalogue, plain) == found(catalogue, plain.upper().lower())


@given(SEVERAL, TITLES)
def test_the_order_of_the_catalogue_changes_no_search_for_words(catalogue: Catalogue, words: str) -> None:
    assume(plain_words(words))
    assert found(catalogue_of(catalogue.described[::-1]), words) == found(catalogue, words)


@given(described(0))
def test_a_title_comes_before_names_texts_and_choices(one: Described) -> None:
    nothing = replace(one.exercise, settings_schema=schema_of([]))
    bare = replace(one, exercise=nothing, title="0", also_called="", what="0", how="0")
    each = (
        replace(bare, exercise=replace(nothing, id="oud.1", settings_schema=schema_of(["scale"]))),
        replace(bare, exercise=replace(nothing, id="oud.2"), how="scale"),
        replace(bare, exercise=replace(nothing, id="oud.3"), also_called="scale"),
        replace(bare, exercise=replace(nothing, id="oud.4"), title="scale"),
    )
    for typed in ("scales", "sc", "sclae"):
        assert found(catalogue_of(each), typed) == ["oud.4", "oud.3", "oud.2", "oud.1"]


@given(SEVERAL, TITLES, st.sampled_from(sorted(PASSED_OVER)))
def test_a_small_word_takes_nothing_away_from_others(catalogue: Catalogue, words: str, small: str) -> None:
    assume(set(plain_words(words)) - PASSED_OVER)
    assert set(found(catalogue, f"{words} {small}")) == set(found(catalogue, words))


@given(described(0), TITLES)
def test_of_equal_matches_the_smaller_id_comes_first(one: Described, title: str) -> None:
    assume(plain_words(title))
    suffixes = ("9-x", "10-x", "a-x")
    twins = tuple(
        replace(one, exercise=replace(one.exercise, id=f"oud.{suffix}"), title=title) for suffix in suffixes
    )
    assert found(catalogue_of(twins), title) == ["oud.10-x", "oud.9-x", "oud.a-x"]
