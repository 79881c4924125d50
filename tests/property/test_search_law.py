"""The search of exercises does what its filters, counts and pages say, held against reckoning one by one."""

from typing import Any

from bagatelle.catalogue.search import LONGEST_UNIT_STEPS, Found, Wanted
from bagatelle.catalogue.title_words import plain_words
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.property.searched_catalogues import (
    ALL_LISTS,
    PASSED_OVER,
    TITLES,
    Catalogue,
    Described,
    catalogues,
    searches,
)

ALL = 1000
LOCALE = "en-GB"
NOTHING = Wanted()


def found(catalogue: Catalogue, wanted: Wanted) -> Found:
    return catalogue.search.page(wanted, LOCALE, limit=ALL)


def ids(page: Found) -> list[str]:
    return [each.exercise.id for each in page.exercises]


def passes(each: Described, wanted: Wanted, name: str) -> bool:
    asked = getattr(wanted, name)
    if asked in ((), None):
        return True
    if name == "longest_unit_seconds":
        return bool(each.has(name) <= asked)
    return bool(each.has(name) in asked if name in ALL_LISTS else each.has(name) == asked)


FILTERS = tuple(name for name in Wanted.__struct_fields__ if name != "words")


def said(catalogue: Catalogue, words: str) -> set[str]:
    """What is found by words alone; `test_search_words_law.py` says what that must be."""
    return set(ids(found(catalogue, Wanted(words=words))))


@given(catalogues(), searches())
def test_what_is_found_is_what_meets_every_filter(catalogue: Catalogue, wanted: Wanted) -> None:
    by_words = said(catalogue, wanted.words)
    expected = [
        each.exercise.id
        for each in catalogue.described
        if each.exercise.id in by_words and all(passes(each, wanted, name) for name in FILTERS)
    ]
    page = found(catalogue, wanted)
    assert sorted(ids(page)) == sorted(expected)
    assert page.matching == len(expected)
    if not wanted.words:
        assert ids(page) == expected


@given(catalogues(), searches())
def test_counts_are_of_what_passes_all_other_filters(catalogue: Catalogue, wanted: Wanted) -> None:
    by_words = said(catalogue, wanted.words)
    counts = found(catalogue, wanted).counts
    assert counts.keys() == set(FILTERS)
    for name, by_value in counts.items():
        others = [
            each
            for each in catalogue.described
            if each.exercise.id in by_words
            and all(passes(each, wanted, other) for other in FILTERS if other != name)
        ]
        for value, count in by_value.items():
            assert count == sum(has_value(each, name, value) for each in others)
        if name in ALL_LISTS:
            assert sum(by_value.values()) == len(others)
        if name in ALL_LISTS and name != "instrument":
            assert tuple(by_value) == ALL_LISTS[name]


def has_value(each: Described, name: str, value: str) -> bool:
    if name == "longest_unit_seconds":
        return bool(each.has(name) <= int(value))
    return bool(str(each.has(name)).lower() == value)


@given(catalogues(), searches())
def test_a_count_is_what_there_would_be_with_that_value_alone(catalogue: Catalogue, wanted: Wanted) -> None:
    for name, by_value in found(catalogue, wanted).counts.items():
        for value, count in by_value.items():
            asked: Any = (value,)
            if name == "longest_unit_seconds":
                assert int(value) in LONGEST_UNIT_STEPS
                asked = int(value)
            elif name not in ALL_LISTS:
                asked = value == "true"
            assert found(catalogue, replace(wanted, **{name: asked})).matching == count


@given(catalogues(), searches(), st.integers(1, 5))
def test_pages_give_every_match_once_and_in_order(catalogue: Catalogue, wanted: Wanted, limit: int) -> None:
    whole = found(catalogue, wanted)
    paged: list[str] = []
    for _ in range(len(catalogue.described) + 1):
        page = catalogue.search.page(wanted, LOCALE, limit=limit, passed=len(paged))
        assert (page.matching, page.counts) == (whole.matching, whole.counts)
        assert len(page.exercises) == min(limit, whole.matching - len(paged))
        paged += ids(page)
    assert paged == ids(whole)
    assert len(set(paged)) == len(paged)


@given(catalogues(), searches(), searches())
def test_another_filter_never_adds_a_result(catalogue: Catalogue, wanted: Wanted, other: Wanted) -> None:
    before = set(ids(found(catalogue, wanted)))
    for name in FILTERS:
        if getattr(wanted, name) == getattr(NOTHING, name):
            after = found(catalogue, replace(wanted, **{name: getattr(other, name)}))
            assert set(ids(after)) <= before


@given(catalogues(), searches(), TITLES)
def test_another_word_never_adds_a_result(catalogue: Catalogue, wanted: Wanted, more: str) -> None:
    # Where there are only small words, one that tells more takes their place.
    if set(plain_words(wanted.words)) - PASSED_OVER:
        after = found(catalogue, replace(wanted, words=f"{wanted.words} {more}"))
        assert set(ids(after)) <= set(ids(found(catalogue, wanted)))


@given(catalogues(), searches())
def test_the_same_search_finds_the_same(catalogue: Catalogue, wanted: Wanted) -> None:
    assert found(catalogue, wanted) == found(catalogue, wanted)


@given(catalogues(), searches())
def test_titles_and_lengths_are_those_of_the_exercise(catalogue: Catalogue, wanted: Wanted) -> None:
    by_id = {each.exercise.id: each for each in catalogue.described}
    for each in found(catalogue, wanted).exercises:
        known = by_id[each.exercise.id]
        assert (each.exercise, each.title) == (known.exercise, known.title)
        assert each.longest_unit_seconds == max(known.unit_seconds)
