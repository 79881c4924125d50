"""The voices against published tables, and what their rows say against music21."""

import re

import pytest
from music21.interval import Interval
from music21.key import Key
from music21.pitch import Pitch

from tests.plugins.voice.degrees import midi
from tests.plugins.voice.loaded import choices
from tests.plugins.voice.published import PASSAGES, RANGES, VOWELS, YOUNG

VOICES = list(choices("voice"))
STARTS = re.compile(r"(middle|lower|upper)(?: part)? from (\S+?)(?=,|$)|(lower|upper) from (\S+?)(?=,|$)")


def starts(text: str) -> dict[str, str]:
    """By part, the note that a row names for it."""
    return {found[1] or found[3]: found[2] or found[4] for found in STARTS.finditer(text)}


def as_music21(name: str) -> Pitch:
    return Pitch(name.replace("♭", "-").replace("♯", "#").replace("b", "-"))


def test_the_types_of_voice_are_those_of_the_tables() -> None:
    assert VOICES == list(RANGES) == list(PASSAGES)
    assert list(choices("young-voice")) == list(YOUNG)


@pytest.mark.parametrize("voice", VOICES)
def test_a_range_is_two_octaves_within_what_is_published_and_holds_what_all_agree_on(voice: str) -> None:
    lowest, highest = midi(choices("voice")[voice]["lowest"]), midi(choices("voice")[voice]["highest"])
    published = [(midi(low), midi(high)) for low, high in RANGES[voice]]
    assert highest - lowest == Interval("P15").semitones
    assert min(low for low, _ in published) <= lowest
    assert highest <= max(high for _, high in published)
    assert lowest <= max(low for low, _ in published)
    assert min(high for _, high in published) <= highest


def test_voices_come_from_high_to_low() -> None:
    lowest = [midi(row["lowest"]) for row in choices("voice").values()]
    women, men = lowest[:3], lowest[3:]
    assert women == sorted(women, reverse=True)
    assert men == sorted(men, reverse=True)


@pytest.mark.parametrize("voice", VOICES)
def test_passages_are_the_published_ones(voice: str) -> None:
    row = choices("voice")[voice]
    assert (row["first_passage"], row["second_passage"]) == PASSAGES[voice]
    assert [as_music21(row[name]) for name in ("first_name", "second_name")] == [
        as_music21(name) for name in PASSAGES[voice]
    ]


@pytest.mark.parametrize("voice", ["tenor", "baritone", "bass"])
def test_the_zone_between_a_mans_passages_is_a_fourth(voice: str) -> None:
    """Miller's zona di passaggio; from memory."""
    first, second = (as_music21(name) for name in PASSAGES[voice])
    assert Interval(first, second).name == "P4"


@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize(
    ("column", "parts", "above"),
    [
        ("low_fifths", "part", 0),
        ("fifths", "part", 0),
        ("fifths_down", "part", 7),
        ("octaves", "octave-part", 0),
        ("ninths", "ninth-part", 0),
    ],
)
def test_the_starts_that_are_named_lie_where_the_parts_begin(
    voice: str, column: str, parts: str, above: int
) -> None:
    row = choices("voice")[voice]
    named = starts(row[column])
    wanted = {
        part: midi(row["lowest"]) + values["above"] + above
        for part, values in choices(parts).items()
        if column != "low_fifths" or part != "upper"
    }
    assert {part: midi(name) for part, name in named.items()} == wanted
    assert list(named) == [part for part in choices(parts) if part in named]


@pytest.mark.parametrize("voice", VOICES)
def test_falling_fives_begin_on_the_fifth_of_the_key_as_music21_spells_it(voice: str) -> None:
    row = choices("voice")[voice]
    for part, keynote in starts(row["fifths"]).items():
        fifth = as_music21(keynote).transpose("P5")
        assert fifth == as_music21(starts(row["fifths_down"])[part])


@pytest.mark.parametrize("voice", VOICES)
def test_keynotes_are_those_of_keys_with_six_accidentals_at_most(voice: str) -> None:
    row = choices("voice")[voice]
    keynotes = [
        *starts(row["fifths"]).values(),
        *starts(row["octaves"]).values(),
        *starts(row["ninths"]).values(),
        *(row[name] for name in ("low_key", "note", "below_first", "below_second")),
    ]
    for keynote in keynotes:
        assert abs(Key(as_music21(keynote).name).sharps) <= 6, keynote


@pytest.mark.parametrize("voice", VOICES)
def test_single_starts_lie_where_the_exercises_count_from(voice: str) -> None:
    row = choices("voice")[voice]
    assert midi(row["low_key"]) == midi(row["lowest"]) + 1
    assert midi(row["note"]) == midi(row["lowest"]) + 7
    assert midi(row["below_first"]) == midi(row["first_start"])
    assert midi(row["below_second"]) == midi(row["second_passage"]) - 8


@pytest.mark.parametrize("voice", VOICES)
def test_five_notes_from_below_the_first_passage_lead_across_it(voice: str) -> None:
    row = choices("voice")[voice]
    start, passage = midi(row["first_start"]), midi(row["first_passage"])
    assert start < passage < start + 7
    assert start >= midi(row["lowest"])


@pytest.mark.parametrize("voice", list(YOUNG))
def test_a_voice_that_changes_is_kept_to_an_octave_within_its_range(voice: str) -> None:
    row = choices("young-voice")[voice]
    lowest, highest = midi(row["lowest"]), midi(row["highest"])
    published_lowest, published_highest = (midi(name) for name in YOUNG[voice])
    assert published_lowest <= lowest
    assert highest <= published_highest
    assert highest - lowest <= 12
    assert midi(row["from"]) == lowest
    assert midi(row["top"]) == lowest + 7
    assert as_music21(row["from"]).transpose("P5") == as_music21(row["top"])
    assert lowest <= midi(row["note"]) <= highest


def test_vowels_have_the_signs_of_the_phonetic_alphabet() -> None:
    assert {name: (row["as_in"], row["sign"]) for name, row in choices("vowel").items()} == VOWELS


@pytest.mark.parametrize("parts", ["part", "octave-part", "ninth-part"])
def test_the_upper_part_comes_last(parts: str) -> None:
    """Low strain first."""
    assert list(choices(parts))[-1] == "upper"
    assert max(choices(parts).values(), key=lambda row: row["above"])["name"] == "upper"
