"""What is said: one country's words, small numbers in words, short lines, ends that can be seen or heard."""

import re

import pytest
from bagatelle.contract import Message
from bagatelle.policy.table import Policy

from tests.plugins.voice.loaded import (
    caution_texts,
    choices,
    exercises,
    has_text,
    instruments,
    material,
    said,
)

NAMES = list(exercises())
PARTS = [f"{form}{part}" for form in ("", "soft.") for part in ("what", "how", "how_much", "done_when")]
FOREIGN = {
    "en-GB": r"eighth|quarter note|half note|\bmeasures?\b|\bcolor\b|\bpractice\b",
    "en-US": r"crotchet|quaver|\bminims?\b|\bbars?\b|colour|\bpractise\b|neighbour|\bmetre\b|centre|favour"
    r"|sol-fa|full stop|\ba tone\b",
}


def texts_of(exercise: str, locale: str) -> list[str]:
    """Every text of an exercise, for one unit and for all."""
    made = material(exercise)
    texts = [
        said(exercise, part, made, dose, locale)
        for part in PARTS
        if has_text(exercise, part)
        for dose in sorted({1, len(made.units)})
    ]
    details = [
        instruments().wording.render(message, locale)
        for unit in made.units
        for message in (unit.label, unit.detail)
        if message is not None
    ]
    title = instruments().wording.render(Message(f"voice.{exercise}.title"), locale)
    return [title, *texts, *details, *caution_texts(exercises()[exercise], locale)]


@pytest.mark.parametrize("locale", list(FOREIGN))
@pytest.mark.parametrize("exercise", NAMES)
def test_texts_keep_to_the_words_of_their_country(exercise: str, locale: str) -> None:
    for text in texts_of(exercise, locale):
        assert not re.search(FOREIGN[locale], text), text


@pytest.mark.parametrize("locale", list(FOREIGN))
def test_proposals_keep_to_the_words_of_their_country(locale: str) -> None:
    for proposal in instruments().instruments[0].proposals:
        for message in (proposal.label, proposal.manner, proposal.done_when):
            text = instruments().wording.render(Message(message), locale)
            assert not re.search(FOREIGN[locale], text), text


def test_the_fifth_degree_is_sol_to_americans() -> None:
    """Common practice, no source: `so` is the British spelling of the syllable."""
    every = {
        "sol-fa-scales": material("sol-fa-scales", scales=list(choices("scale"))),
        "chords-sung": material("chords-sung", chords=list(choices("chord"))),
        "drone": material("drone", degrees=list(choices("degree"))),
    }
    for made in every.values():
        for unit in made.units:
            for message in (unit.label, unit.detail):
                assert message is not None
                assert not re.search(r"\bso\b", instruments().wording.render(message, "en-US"))
    assert "sol" in said("drone", "what", every["drone"], 6, "en-US").split(" and ")[0]


def test_what_is_taken_once_never_goes_round() -> None:
    """A check, a performance, reading at sight: a second time it is something else."""
    for name in ("swelling-check", "as-on-stage", "sight-singing"):
        assert not exercises()[name].goes_round, name


def test_one_note_of_one_change_is_not_called_each() -> None:
    for name, one in (
        ("colours", "one note to a change, once"),
        ("messa-di-voce", "one note to a shape, once"),
    ):
        assert said(name, "how_much", material(name, notes_up=1), 1) == one


def test_a_few_cards_are_counted_in_words() -> None:
    assert "six of them, shuffled" in said("cues", "what", material("cues", cues=6), 1)


def test_a_speed_is_named_with_its_beat_so_that_it_stands_alone_too() -> None:
    made = material("agility-by-tempo", speeds=[60, 66])
    labels = [instruments().wording.render(unit.label, "en") for unit in made.units]
    assert labels == ["crotchet = 60", "crotchet = 66"]


def test_figures_in_sequence_are_said_to_rise() -> None:
    made = material("sequences")
    assert "each figure a semitone higher than the one before" in said("sequences", "how", made, 1)


@pytest.mark.parametrize("exercise", NAMES)
def test_steps_are_short_and_neither_shout_nor_end_in_a_full_stop(exercise: str) -> None:
    made = material(exercise)
    for part in PARTS:
        if not has_text(exercise, part):
            continue
        for dose in {1, len(made.units)}:
            text = said(exercise, part, made, dose)
            assert len(text) <= (140 if part.endswith("what") else 125), text
            assert "!" not in text
            assert not text.endswith(".")
            assert (
                text[0].isupper() or text[0].isdigit() or text.startswith("ee-") or not part.endswith("what")
            )
            assert not text[0].isupper() or part.endswith("what"), text


@pytest.mark.parametrize("exercise", NAMES)
def test_small_numbers_are_words(exercise: str) -> None:
    """But for speeds, degrees of the scale, octaves in names of notes, and figures of lines and sections."""
    made = material(exercise)
    for part in PARTS:
        if part.endswith("what") or not has_text(exercise, part):
            continue
        text = said(exercise, part, made, len(made.units))
        plain = re.sub(r"= \d+|\d+(?:-\d+)+|[A-G][♯♭]?\d", "", text)
        assert not re.search(r"\b([1-9]|1[0-2])\b", plain), text


@pytest.mark.parametrize("exercise", NAMES)
def test_the_end_says_what_becomes_of_it_where_it_is_not_met(exercise: str) -> None:
    """Or the time is up, or something is marked, counted or kept."""
    finish = said(exercise, "done_when", material(exercise), 1)
    assert re.search(
        r"next time|for today|no more singing today|time is up|mark|say which|ends? there|count|tick", finish
    ), finish


@pytest.mark.parametrize("exercise", NAMES)
def test_each_is_said_of_several_only(exercise: str) -> None:
    if not has_text(exercise, "how_much"):
        return
    made = material(exercise)
    if len(made.units) > 1:
        for part in ("how_much", "soft.how_much"):
            if has_text(exercise, part):
                assert not said(exercise, part, made, 1).startswith("each "), exercise


@pytest.mark.parametrize("exercise", NAMES)
def test_an_exercise_is_met_by_its_own_title_first(exercise: str) -> None:
    title = instruments().wording.render(Message(f"voice.{exercise}.title"), "en")
    likely = instruments().title_index("voice", "en").likely(title, Policy().least_likeness)
    assert likely[0].exercise.id == f"voice.{exercise}"
    assert likely[0].likeness == 100


@pytest.mark.parametrize(
    ("title", "exercise"),
    [
        ("Lip trills and sirens", "easy-glides"),
        ("Straw work", "straw"),
        ("Solfège at sight", "sol-fa-scales"),
        ("Swelling and fading", "messa-di-voce"),
        ("Speaking the texts", "text-in-rhythm"),
        ("Breathing out on s", "hiss"),
        ("passaggio", "first-passage"),
        ("coloratura", "runs"),
        ("high notes", "range-up"),
        ("belting", "mixed-calls"),
        ("posture", "loosening"),
        ("interpretation", "questions"),
    ],
)
def test_titles_as_singers_write_them_are_offered_what_they_mean(title: str, exercise: str) -> None:
    likely = instruments().title_index("voice", "en").likely(title, Policy().least_likeness)
    assert likely[0].exercise.id == f"voice.{exercise}"


def test_other_names_bring_a_singers_title_to_its_exercise() -> None:
    """Common words of the trade; each stands among the names of the exercise that it means."""
    wanted = {
        "easy-glides": "sirens",
        "straw": "straw phonation",
        "trilled-fives": "lip trills",
        "onsets": "onset",
        "messa-di-voce": "swells",
        "runs": "coloratura",
        "first-passage": "passaggio",
        "sol-fa-scales": "solfège",
        "text-in-rhythm": "diction",
        "cool-down": "winding down",
        "marking": "singing half-voice",
        "drone": "intonation",
    }
    for exercise, name in wanted.items():
        listed = instruments().wording.render(Message(f"voice.{exercise}.also_called"), "en")
        assert name in listed.split(", "), exercise
