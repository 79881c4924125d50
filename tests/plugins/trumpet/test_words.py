"""Every sentence, with one unit and with many, at the defaults and at the ends of what may be set."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle.contract import Material, Message
from bagatelle.model.errors import InvalidInputError

from tests.plugins.trumpet.loaded import entries, exercise, instruments, material, said

BRITISH_ONLY = re.compile(
    r"crotchet|quaver|minims?\b|semibreve|semitone|\bmetre|\bbars?\b(?! (?:line|blues))|\ba tone\b|spelt"
)
AMERICAN_ONLY = re.compile(r"eighth note|quarter note|sixteenth|half step|whole step|\bmeasures?\b|spelled")
# "Twelve-bar blues" is the name of the form everywhere.
NAMES = re.compile(r"twelve-bar")
EACH = pytest.mark.parametrize("name", entries())
PARTS = ("what", "how", "how_much", "done_when")


def materials(name: str) -> Iterator[Material]:
    """At the defaults, then with every number at its least and at its greatest where that can be played."""
    yield material(name)
    properties: dict[str, dict[str, Any]] = exercise(name).settings_schema["properties"]
    for end in ("minimum", "maximum"):
        for setting, schema in properties.items():
            if end in schema:
                try:
                    yield material(name, **{setting: schema[end]})
                except InvalidInputError:
                    continue


def sentences(name: str, locale: str) -> Iterator[tuple[str, str]]:
    soft = entries()[name].get("soft", {})
    parts = [*PARTS, *(f"soft.{part}" for part in PARTS if part in soft)]
    for made in materials(name):
        for part in parts:
            for dose in sorted({1, len(made.units)}):
                yield part, said(name, part, made, dose, locale)


@EACH
@pytest.mark.parametrize("locale", ["en", "en-US"])
def test_sentences_are_whole_and_keep_to_their_locale(name: str, locale: str) -> None:
    foreign = AMERICAN_ONLY if locale == "en" else BRITISH_ONLY
    for part, text in sentences(name, locale):
        assert not re.search(r"[{}!]|__|  ", text), text
        assert foreign.search(NAMES.sub("", text)) is None, text
        assert not text.endswith((".", ",")), text
        if part.endswith("what"):
            assert text[0].isupper(), text
        elif part.endswith(("how", "how_much")):
            assert not re.match(r"[A-Z][a-z]", text), text


@EACH
@pytest.mark.parametrize("locale", ["en", "en-US"])
def test_titles_keep_to_their_locale(name: str, locale: str) -> None:
    foreign = AMERICAN_ONLY if locale == "en" else BRITISH_ONLY
    title = instruments().wording.render(Message(f"trumpet.{name}.title"), locale)
    assert foreign.search(NAMES.sub("", title)) is None, title


def test_one_note_or_one_ending_hears_nothing_of_the_others() -> None:
    one = said("valves-by-heart", "how", material("valves-by-heart", notes=["c-4"]), 1)
    assert "mixed" not in one
    assert "shake" not in said("lead-endings", "how", material("lead-endings", endings=["long-fall"]), 1)


def test_a_tempo_is_named_with_its_beat_so_that_it_stands_alone_too() -> None:
    for name in ("after-beats", "tongue-tempo"):
        made = material(name, tempi=[80, 96])
        labels = [instruments().wording.render(unit.label, "en") for unit in made.units]
        assert labels == ["crotchet = 80", "crotchet = 96"]


def test_bars_of_silence_are_counted_in_words() -> None:
    assert said("cold-entries", "what", material("cold-entries"), 1).startswith("Entries after seven bars")


def test_the_first_transposition_is_from_parts_in_c() -> None:
    # Common practice, no source: parts in C come first; the others are for later.
    assert [unit.id for unit in material("transposition").units] == ["in-c"]


@EACH
def test_sentences_are_short(name: str) -> None:
    made = material(name)
    for part in ("how", "how_much", "done_when"):
        assert len(said(name, part, made, len(made.units))) <= 130


@EACH
def test_one_unit_is_not_called_each(name: str) -> None:
    made = material(name)
    text = said(name, "how_much", made, 1)
    assert not text.startswith("each"), text


@EACH
@pytest.mark.parametrize("locale", ["en", "en-US"])
def test_labels_and_details_are_whole(name: str, locale: str) -> None:
    wording = instruments().wording
    foreign = AMERICAN_ONLY if locale == "en" else BRITISH_ONLY
    for unit in material(name).units:
        for message in (unit.label, unit.detail):
            if message is not None:
                text = wording.render(message, locale)
                assert not re.search(r"[{}]|__", text)
                assert foreign.search(text) is None, text


@EACH
def test_it_is_said_when_it_is_done_and_what_if_not(name: str) -> None:
    made = material(name)
    text = said(name, "done_when", made, len(made.units))
    assert re.search(r"; if not, |the time is up|earlier|; stop |; mark |whatever happened", text), text


@pytest.mark.parametrize("locale", ["en", "en-US"])
def test_proposals_keep_to_their_locale(locale: str) -> None:
    foreign = AMERICAN_ONLY if locale == "en" else BRITISH_ONLY
    texts = {
        name: text
        for given in instruments().texts_of("trumpet")
        if given.locale in {"en", locale}
        for name, text in given.messages.items()
        if ".proposal." in name
    }
    assert texts
    assert [text for text in texts.values() if foreign.search(str(text))] == []
