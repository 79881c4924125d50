"""Messages become sentences: gaps, plurals, lists, locales, and clear errors."""

import math
from typing import Any, get_args

import pytest
from bagatelle import load_instruments
from bagatelle.contract import Message, Texts
from bagatelle.model.errors import BagatelleError
from bagatelle.model.vocabulary import Area
from bagatelle.wording import TemplateError, Wording, WordingError, engine_texts
from hypothesis import given
from hypothesis import strategies as st

ENGLISH: dict[str, str | dict[str, str]] = {
    "t.plain": "No gaps.",
    "t.one": "{value}",
    "t.two": "{first} then {second}",
    "t.passes": {"by": "passes", "one": "{passes} pass", "other": "{passes} passes"},
    "t.always": {"by": "n", "other": "n is {n}"},
    "t.note": "in crotchets",
}


def wording(*others: Texts) -> Wording:
    american, english = sorted(engine_texts(), key=lambda each: -len(each.locale))
    return Wording([american, Texts(locale="en", messages={**english.messages, **ENGLISH}), *others])


def shown(value: Any, locale: str = "en-GB") -> str:
    return wording().render(Message("t.one", {"value": value}), locale)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("C♯ & {this}", "C♯ & {this}"),
        (3, "3"),
        (3.0, "3"),
        (-0.0, "0"),
        (2.5, "2.5"),
        (0.1 + 0.2, "0.3"),
        (1 / 3, "0.333"),
        (120000, "120000"),
        (Message("t.plain"), "No gaps."),
        (Message("t.two", {"first": 1, "second": Message("t.plain")}), "1 then No gaps."),
        ((), ""),
        (("a",), "a"),
        (("a", "b"), "a and b"),
        (("a", "b", "c"), "a, b and c"),
        (("a", Message("t.plain"), "c", "d"), "a, No gaps., c and d"),
    ],
)
def test_what_stands_in_a_gap(value: Any, expected: str) -> None:
    assert shown(value) == expected


def test_lists_are_joined_as_each_variant_joins_them() -> None:
    # Unicode CLDR, list pattern "standard": en has "{0}, {1}, and {2}", en-GB "{0}, {1} and {2}" (from
    # memory). Our `en` is British, and en-US overrides it.
    assert shown(("a", "b", "c"), "en-GB") == "a, b and c"
    assert shown(("a", "b", "c"), "en-US") == "a, b, and c"
    assert shown(("a", "b"), "en-US") == "a and b"


@pytest.mark.parametrize(
    ("number", "expected"),
    # CLDR plural rules of English (from memory): one is i = 1 and v = 0; all else is other.
    [
        (0, "0 passes"),
        (1, "1 pass"),
        (1.0, "1 pass"),
        (1.5, "1.5 passes"),
        (2, "2 passes"),
        (21, "21 passes"),
    ],
)
def test_plurals_of_english(number: float, expected: str) -> None:
    assert wording().render(Message("t.passes", {"passes": number}), "en") == expected


def test_a_plural_may_do_without_a_category() -> None:
    assert wording().render(Message("t.always", {"n": 1}), "en") == "n is 1"


def test_a_locale_falls_back_to_its_language_and_that_to_english() -> None:
    words = wording(
        Texts(locale="en-AU", messages={"t.note": "in crotchets, mate"}),
        Texts(locale="de", messages={"t.note": "in Vierteln"}),
        Texts(locale="de-AT", messages={"t.plain": "Ohne."}),
    )
    expected = {
        "en": "in crotchets",
        "en-GB": "in crotchets",
        "en-AU": "in crotchets, mate",
        "de": "in Vierteln",
        "de-AT": "in Vierteln",
        "de-CH": "in Vierteln",
        "fr": "in crotchets",
        "fr-FR": "in crotchets",
    }
    assert {locale: words.render(Message("t.note"), locale) for locale in expected} == expected
    assert words.render(Message("t.plain"), "de-AT") == "Ohne."
    assert words.render(Message("t.plain"), "de") == "No gaps."
    assert words.locales == ("de", "de-AT", "en", "en-AU", "en-US")


def test_a_crotchet_is_a_quarter_note_elsewhere() -> None:
    words = load_instruments().wording
    for british, american in (
        ("minim", "half note"),
        ("crotchet", "quarter note"),
        ("quaver", "eighth note"),
        ("semiquaver", "sixteenth note"),
    ):
        message = Message(f"piano.beat.{british}")
        assert words.render(message, "en-GB") == british
        assert words.render(message, "en-US") == american


def test_has_says_whether_there_is_a_text() -> None:
    words = wording()
    assert words.has("t.plain", "en-GB")
    assert words.has("t.plain", "fr")
    assert not words.has("t.unknown", "en-GB")


def test_an_unknown_message_is_named() -> None:
    with pytest.raises(WordingError, match=r"text 't\.unknown': there is no text of this id"):
        wording().render(Message("t.unknown"), "en")


def test_a_missing_parameter_is_named_with_those_given() -> None:
    with pytest.raises(BagatelleError, match=r"t\.two.*'second' is missing; the parameters given: a, first"):
        wording().render(Message("t.two", {"first": 1, "a": 2}), "en")


@pytest.mark.parametrize("value", [True, None, {"a": 1}, ["a"], math.nan, math.inf, ("a", True), b"a"])
def test_what_cannot_be_shown_is_refused(value: Any) -> None:
    with pytest.raises(WordingError, match=r"text 't\.one': the parameter 'value' is "):
        shown(value)


@pytest.mark.parametrize("value", ["1", True, Message("t.plain")])
def test_a_plural_is_decided_by_a_number_alone(value: Any) -> None:
    with pytest.raises(WordingError, match="decides the plural and must be a number"):
        wording().render(Message("t.passes", {"passes": value}), "en")


@pytest.mark.parametrize(
    "template",
    [
        "{",
        "}",
        "{}",
        "{{name}}",
        "{name",
        "{name.upper}",
        "{name[0]}",
        "{name:>10}",
        "{name!r}",
        "{Name}",
        "{0}",
        "{ name }",
        {"by": "n"},
        {"other": "x"},
        {"by": "n", "other": "x", "few": "y"},
        {"by": "n!", "other": "x"},
        {"by": "n", "other": "{n:d}"},
    ],
)
def test_the_grammar_of_templates_is_closed(template: Any) -> None:
    with pytest.raises(TemplateError, match=r"text 't\.bad'"):
        Wording([Texts(locale="en", messages={"t.bad": template})])


def test_a_text_is_given_once() -> None:
    texts = Texts(locale="en", messages={"t.a": "a"})
    with pytest.raises(WordingError, match="given twice"):
        Wording([texts, texts])


def test_the_engine_has_a_word_for_every_area() -> None:
    words = Wording(engine_texts())
    for area in get_args(Area):
        assert words.has(f"engine.area.{area}", "en")


def test_the_engines_texts_are_its_own_and_a_variant_only_overrides() -> None:
    english, *variants = engine_texts()
    assert english.locale == "en"
    assert all(identifier.startswith("engine.") for identifier in english.messages)
    for variant in variants:
        assert variant.messages.keys() <= english.messages.keys()


@given(st.text(), st.text())
def test_what_is_given_is_shown_as_it_is(first: str, second: str) -> None:
    message = Message("t.two", {"first": first, "second": second})
    assert WORDS.render(message, "en") == f"{first} then {second}"


@given(st.text(alphabet=st.characters(exclude_characters="{}")))
def test_a_text_without_braces_is_itself(text: str) -> None:
    assert Wording([Texts(locale="en", messages={"t.a": text})]).render(Message("t.a"), "en") == text


WORDS = wording()


def test_items_with_commas_of_their_own_are_parted_by_semicolons() -> None:
    assert (
        shown(("C major, two octaves", "G major", "D major")) == "C major, two octaves; G major; and D major"
    )
    assert shown(("C major, two octaves", "G major")) == "C major, two octaves; and G major"


def test_items_with_an_and_of_their_own_are_parted_by_semicolons() -> None:
    assert shown(("three notes", "question and answer")) == "three notes; and question and answer"
    assert shown(("2/4 and 3/8", "3/4 and 6/8", "4/4")) == "2/4 and 3/8; 3/4 and 6/8; and 4/4"
    assert shown(("sand", "andante")) == "sand and andante"
