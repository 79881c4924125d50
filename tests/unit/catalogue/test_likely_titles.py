"""What titles in learners' own words are taken for, at the rates measured, so that a change is seen."""

import pytest
from bagatelle import Instruments
from bagatelle.catalogue.title_words import LETTERS_LIMIT, WORDS_LIMIT, folded_words
from bagatelle.contract import Message
from bagatelle.policy.table import Policy

from tests.strategies import instruments
from tests.unit.catalogue.titles_of_learners import TITLES, TITLES_NOT_SEEN

POLICY = Policy()
LOCALE = "en-GB"
NONSENSE = (
    "",
    " ",
    "!!!",
    "12345",
    "♪♫ 🎹🥁",
    "a b c d e f g",
    "xyzzy qqqq",
    "\u202eelacs rojam\u202c",
    "音階",
    "\x00\ud7ff\U0010ffff",
    "0" * 200,
    "the of and in on at",
)


def offered(instrument: str, title: str) -> list[tuple[str, int]]:
    found = instruments().title_index(instrument, LOCALE).likely(title, POLICY.least_likeness)
    return [(one.exercise.id, one.likeness) for one in found[: POLICY.likely_exercises]]


def rates(table: dict[str, tuple[tuple[str, str | None], ...]]) -> dict[str, tuple[int, int, int, int, int]]:
    """By instrument: titles that mean an exercise, met first, met at all; titles that mean none, offered some."""
    counts = {}
    for instrument, titles in table.items():
        meant = [(offered(instrument, title), exercise) for title, exercise in titles if exercise]
        none = [offered(instrument, title) for title, exercise in titles if exercise is None]
        counts[instrument] = (
            len(meant),
            sum(found[:1] != [] and found[0][0] == exercise for found, exercise in meant),
            sum(exercise in dict(found) for found, exercise in meant),
            len(none),
            sum(found != [] for found in none),
        )
    return counts


def test_titles_that_the_matching_was_made_with() -> None:
    # "Listen to a recording" is offered listening to one's own, which a teacher would ask about.
    assert rates(TITLES) == {"piano": (68, 68, 68, 41, 1), "snare-drum": (61, 61, 61, 24, 0)}


def test_titles_that_it_had_not_seen() -> None:
    # 51 of 56 met first (91 %), 52 among three (93 %), one of 24 offered something ("Stick tricks").
    assert rates(TITLES_NOT_SEEN) == {"piano": (25, 23, 23, 15, 0), "snare-drum": (31, 28, 29, 9, 1)}


@pytest.mark.parametrize("title", NONSENSE)
@pytest.mark.parametrize("instrument", ["piano", "snare-drum"])
def test_nonsense_is_like_nothing(instrument: str, title: str) -> None:
    assert offered(instrument, title) == []


def test_no_title_is_like_an_exercise_of_another_instrument() -> None:
    for instrument, titles in (TITLES | TITLES_NOT_SEEN).items():
        for other in TITLES.keys() - {instrument}:
            for title, _ in titles:
                assert all(name.startswith(f"{other}.") for name, _ in offered(other, title))


@pytest.mark.parametrize(
    "title",
    [
        "…arpèggios",
        "ＡＲＰＥＧＧＩＯＳ",
        "arpeggios",
        "  ARPEGGIOS  ",
        "arpe\u0301ggios",
        "«Arpeggios»",
    ],
)
def test_case_accents_and_signs_do_not_matter(title: str) -> None:
    assert offered("piano", title)[0][0] == "piano.arpeggio"


def test_the_longer_name_comes_first_where_two_are_named_whole() -> None:
    assert [name for name, _ in offered("snare-drum", "flam paradiddle")][:2] == [
        "snare-drum.flams",
        "snare-drum.diddles",
    ]


def test_ties_go_to_the_smaller_id() -> None:
    assert offered("snare-drum", "rudiments") == [
        ("snare-drum.diddles", 100),
        ("snare-drum.drags", 100),
        ("snare-drum.flams", 100),
    ]


def test_every_exercise_is_met_by_its_own_title_first() -> None:
    for instrument in instruments().instruments:
        index = instruments().title_index(instrument.id, LOCALE)
        for exercise in instrument.exercises:
            title = index.likely(_title_of(exercise.id), POLICY.least_likeness)
            assert title[0].exercise.id == exercise.id
            assert title[0].likeness == 100


def test_variants_are_met_in_their_own_words() -> None:
    index = instruments().title_index("snare-drum", "en-US")
    assert (
        index.likely("changes of meter", POLICY.least_likeness)[0].exercise.id == "snare-drum.metre-changes"
    )


def test_an_unknown_language_is_read_as_english_and_shares_its_index() -> None:
    assert instruments().title_index("piano", "xx-YY") is instruments().title_index("piano", "en")


def test_no_instruments_know_no_title() -> None:
    assert Instruments.none().title_index("piano", LOCALE).likely("scales", 1) == ()


def test_only_the_beginning_of_a_very_long_title_is_looked_at() -> None:
    filler = "zq " * LETTERS_LIMIT
    assert len(folded_words(filler * 1000, {})) <= WORDS_LIMIT
    assert offered("piano", filler + "arpeggios") == []


def _title_of(exercise: str) -> str:
    return instruments().wording.render(Message(f"{exercise}.title"), LOCALE)
