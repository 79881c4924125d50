"""Every sentence, for any legal settings, in British and American English."""

import re
from collections.abc import Mapping

import pytest
from bagatelle.contract import Material, Message
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.text import Value
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.plugins.musicianship.loaded import entries, instruments, material
from tests.plugins.musicianship.settings import all_legal

OWN = tuple(entries())
PARTS = ("what", "how", "how_much", "done_when")
BRITISH = re.compile(
    r"crotchet|quaver|minim\b|minims|semibreve|\bbars?\b|metre|colour|harmonis|practis|labelled"
    r"|leading note|cor anglais"
)
AMERICAN = re.compile(
    r"quarter note|eighth note|sixteenth|half note|measures?\b|meters?\b|color\b|leading tone"
)
SPEAKS_OF_BARS = re.compile(r"double bars?|twelve-bar blues")
"""What has the same name on both sides."""


def parameters(made: Material, count: int) -> Mapping[str, Value]:
    """What the engine adds, for a dose of the first so many units."""
    return {
        **made.parameters,
        "units": tuple(unit.label for unit in made.units[:count]),
        "unit_count": count,
        "unit_count_in_words": Message(f"engine.number.{count}") if count <= 12 else count,
        "seconds": 60 * count,
        "minutes": count,
    }


def sentences(exercise: str, made: Material, count: int, locale: str) -> dict[str, str]:
    """All that is said of a dose, by part; the soft form's parts and each unit's too."""
    wording = instruments().wording
    found = {}
    for part in (*PARTS, *(f"soft.{part}" for part in PARTS)):
        if wording.has(f"{exercise}.{part}", "en"):
            found[part] = wording.render(Message(f"{exercise}.{part}", parameters(made, count)), locale)
    for unit in made.units[:count]:
        found[f"label of {unit.id}"] = wording.render(unit.label, locale)
        if unit.detail is not None:
            found[f"detail of {unit.id}"] = wording.render(unit.detail, locale)
    return found


@given(data=st.data())
def test_sentences_are_sound_whatever_the_settings(data: st.DataObject) -> None:
    exercise = data.draw(st.sampled_from(OWN))
    settings = data.draw(all_legal(instruments().exercise(exercise).settings_schema))
    own_words = [value for value in settings.values() if isinstance(value, str)]
    try:
        made = material(exercise, **settings)
    except InvalidInputError:
        assume(False)
    for count in {1, len(made.units)}:
        for part, said in sentences(exercise, made, count, "en").items():
            for words in own_words:
                said = said.replace(words, "the piece")
            assert not re.search(r"[{}]|  |\bNone\b|!|\.$| ,| :|,,", said), (part, said)
            assert not re.search(r"\b(1|one) (bars|beats|minutes|notes|times|questions|keys)\b", said), (
                part,
                said,
            )
            assert not re.search(r"\ba (augmented|octave|imperfect|interrupted)\b", said), (part, said)
            if count == 1 and part.endswith("how_much"):
                assert "each" not in said.split(",")[0].split(" each ")[0].split(), (part, said)


@pytest.mark.parametrize("exercise", OWN)
def test_sentences_at_the_defaults_are_short_and_begin_as_they_should(exercise: str) -> None:
    made = material(exercise)
    for part, said in sentences(exercise, made, len(made.units), "en").items():
        name = part.removeprefix("soft.")
        if name in PARTS:
            first = said[0]
            assert first.isupper() if name == "what" else not first.isupper(), (part, said)
            assert len(said) <= (145 if name == "what" else 110), (part, len(said), said)


@pytest.mark.parametrize("exercise", OWN)
def test_done_when_says_what_to_do_if_not_or_cannot_fail(exercise: str) -> None:
    said = sentences(exercise, material(exercise), 1, "en")["done_when"]
    hopeful = re.search(r"if not|mark|leave|ring|query|write|note the time|strike|mend|rub|check|stop", said)
    assert hopeful or re.search(r"time is up|is reached|can be|comes? home", said), said


@pytest.mark.parametrize("exercise", OWN)
@pytest.mark.parametrize(("locale", "strangers"), [("en", AMERICAN), ("en-US", BRITISH)])
def test_each_english_keeps_to_its_own_words(exercise: str, locale: str, strangers: re.Pattern[str]) -> None:
    schema = instruments().exercise(exercise).settings_schema["properties"]
    everything = {
        name: each["items"]["enum"][: each["maxItems"]]
        for name, each in schema.items()
        if each.get("type") == "array" and "enum" in each["items"]
    }
    made = material(exercise, **everything)
    said = sentences(exercise, made, len(made.units), locale)
    said["title"] = instruments().wording.render(Message(f"{exercise}.title"), locale)
    for part, words in said.items():
        assert not strangers.search(SPEAKS_OF_BARS.sub("", words)), (part, words)


@pytest.mark.parametrize(("locale", "strangers"), [("en", AMERICAN), ("en-US", BRITISH)])
def test_proposals_keep_to_their_english(locale: str, strangers: re.Pattern[str]) -> None:
    for proposal in instruments().instruments[0].proposals:
        for message in (proposal.label, proposal.manner, proposal.done_when):
            assert not strangers.search(instruments().wording.render(Message(message), locale))


def test_the_fifth_degree_is_sol_to_americans() -> None:
    """Common practice, no source: `so` is the British spelling of the syllable."""
    british, american = (
        {
            name: text
            for given in instruments().texts_of("musicianship")
            if given.locale == locale
            for name, text in given.messages.items()
        }
        for locale in ("en", "en-US")
    )
    syllable = re.compile(r"\bso\b(?! that| on\b)")
    assert [name for name, text in american.items() if syllable.search(str(text))] == []
    assert [
        name for name, text in british.items() if syllable.search(str(text)) and name not in american
    ] == []


@pytest.mark.parametrize("exercise", OWN)
def test_round_is_left_to_the_engine(exercise: str) -> None:
    """It says "twice round" of all units together, so that no exercise says it of its own passes."""
    made = material(exercise)
    for part, said in sentences(exercise, made, len(made.units), "en").items():
        if part.endswith("how_much"):
            assert not re.search(r"(once|twice|times) round", said), said


def test_what_is_counted_aloud_can_be_spoken() -> None:
    """From memory: four syllables a second are about as fast as numbers are spoken clearly."""
    schema = instruments().exercise("musicianship.two-metres-at-once").settings_schema["properties"]
    assert schema["bpm"]["maximum"] <= 4 * 60


def test_a_step_reads_as_a_teacher_says_it() -> None:
    """Written out once, so that a change of words is seen."""
    made = material("musicianship.intervals-sung", intervals=["perfect-fifth", "minor-third"], starts=3)
    said = sentences("musicianship.intervals-sung", made, 2, "en")
    assert said["what"] == "Intervals sung, upwards: perfect fifth and minor third"
    assert said["how_much"] == "each from three different notes in the middle of the voice"
    assert said["detail of minor-third"] == "3 semitones; upwards C to E flat, downwards C to A"
    made = material("musicianship.passage-imagined", piece="Invention in F", from_bars=[9], passes=2)
    said = sentences("musicianship.passage-imagined", made, 1, "en-US")
    assert said["what"] == "Invention in F, imagined: four measures from measure 9"
    assert said["how_much"] == "twice"
