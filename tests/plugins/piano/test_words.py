"""What is said: in one country's words, in small numbers, with an end that agrees with the count."""

import re

import pytest
from bagatelle.contract import Material, Message
from bagatelle.engine.timing import time_of
from bagatelle.model.vocabulary import AREAS, Area

from tests.plugins.piano.loaded import details, instruments, material, said, shared

PIANO = "piano"


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
def test_texts_keep_to_the_words_of_their_country(locale: str) -> None:
    foreign = {
        "en-GB": r"eighth|quarter note|half note|measure|spelled|outward\b|meter|deceptive",
        "en-US": r"crotchet|quaver|minim|semibreve|\bbars?\b|interrupted|spelt|outwards|metre",
    }[locale]
    for exercise in instruments().exercises:
        made = instruments().material(exercise.id, dict(exercise.defaults))
        for text in (*texts_of(exercise.id, made, locale), *details(made, locale).values()):
            # The twelve-bar blues is called so in both countries.
            assert not re.search(foreign, text.replace("welve-bar blues", "")), text


PARTS = ("title", "what", "how", "how_much", "done_when")


def texts_of(exercise: str, made: Material, locale: str = "en") -> list[str]:
    """Every text of an exercise that has one, for one unit and for all."""
    parts = [part for each in PARTS for part in (each, f"soft.{each}")]
    return [
        said(exercise, part, made, dose, locale)
        for part in parts
        if instruments().wording.has(f"{exercise}.{part}", locale)
        for dose in sorted({1, len(made.units)})
    ]


@pytest.mark.parametrize("locale", ["en", "en-US"])
@pytest.mark.parametrize("exercise", [each.id for each in instruments().exercises if each.id not in shared()])
def test_count_and_finish_agree(exercise: str, locale: str) -> None:
    """Where passes are counted, they end with the last one, clean or not; none has to come twice in a row."""
    made = material(exercise)
    for text in texts_of(exercise, made, locale):
        assert not re.search("in a row|twice|once more|\bagain\b", text), text
    if "passes" in instruments().exercise(exercise).defaults:
        finish = said(exercise, "done_when", made, len(made.units), locale)
        assert re.search(r"\blast\b", finish)
        assert re.search("leave|stop sooner", finish)


@pytest.mark.parametrize("area", AREAS)
def test_a_proposal_ends_with_its_last_pass_or_its_time(area: Area) -> None:
    proposal = instruments().proposal(PIANO, area)
    assert proposal is not None
    finish = instruments().wording.render(Message(proposal.done_when), "en")
    assert not re.search("in a row|twice", finish)
    assert re.search("last|time is up", finish)


@pytest.mark.parametrize("exercise", [each.id for each in instruments().exercises])
def test_small_numbers_are_words(exercise: str) -> None:
    """But for tempos, fingers, bar numbers, and how many units a dose has, which the engine writes."""
    made = material(exercise)
    for part in ("how", "how_much", "done_when"):
        text = re.sub(r"= \d+|at \d+", "", said(exercise, part, made, len(made.units)))
        assert not re.search(r"\b([1-9]|1[0-2])\b", text), text


def test_a_default_unit_is_long_enough_that_few_of_them_fill_a_chunk() -> None:
    """So a short day holds two to five keys of a scale, not nine."""
    for exercise in instruments().exercises:
        if exercise.area == "technique":
            shortest = min(time_of(unit.timing).seconds for unit in material(exercise.id).units)
            assert 35 <= shortest <= 90, exercise.id
            assert exercise.smallest_chunk_seconds <= 2 * shortest


def test_warm_up_says_minutes_and_ends_with_them() -> None:
    for minutes, whole, half, hand in [
        (1, "one minute", "half a minute", "15 seconds"),
        (2, "two minutes", "one minute", "half a minute"),
        (3, "three minutes", "one and a half minutes", "45 seconds"),
        (4, "four minutes", "two minutes", "one minute"),
    ]:
        made = material("piano.warm-up", minutes=minutes)
        assert said("piano.warm-up", "how_much", made, 2) == f"{whole}, half each way"
        assert said("piano.warm-up", "how_much", made, 1) == half
        assert details(made) == {"hands-alone": f"right hand {hand}, left hand {hand}"}
        assert said("piano.warm-up", "done_when", made, 2) == "the time is up"


def test_passages_hold_tempo_and_passes_each() -> None:
    passages = [
        {"id": "theme", "label": "bars 1-8 (the theme)", "bars": 8, "bpm": 54, "passes": 3},
        {
            "id": "coda",
            "label": "bars 60-64",
            "bars": 5,
            "beat": "dotted-crotchet",
            "beats_per_bar": 2,
            "bpm": 46,
        },
        {"id": "end", "bars": 1, "passes": 1},
    ]
    made = material("piano.passage", piece="Rondo", passages=passages)
    assert details(made) == {
        "theme": "crotchet = 54, three passes",
        "coda": "dotted crotchet = 46, three passes",
        "end": "crotchet = 60, one pass",
    }
    assert details(made, "en-US")["coda"] == "dotted quarter note = 46, three passes"
    parts = ("what", "how", "how_much", "done_when")
    assert [said("piano.passage", part, made, 3) for part in parts] == [
        "Rondo: bars 1-8 (the theme), bars 60-64 and the bar marked in pencil",
        "hands together, each at the tempo beside it, with dynamics, phrasing and any pedal as marked",
        "as often as stands beside each passage, the worst spot alone after every pass but the last",
        (
            "the last pass of each passage is clean, in time and with its dynamics; if not, mark the bar and leave "
            "it for next time"
        ),
    ]


def test_passages_that_agree_say_tempo_and_passes_once() -> None:
    given = [
        {"id": name, "label": name, "bars": 4, "beat": "minim", "bpm": 66, "passes": 2} for name in ("a", "b")
    ]
    made = material("piano.passage", passages=given)
    assert said("piano.passage", "how", made, 2) == (
        "hands together, minim = 66, with dynamics, phrasing and any pedal as marked"
    )
    assert said("piano.passage", "how_much", made, 2) == (
        "two passes of each passage, the worst spot alone after every pass but the last"
    )
    assert (
        said("piano.passage", "how_much", made, 1)
        == "two passes, the worst spot alone after every pass but the last"
    )


def test_a_passage_leaves_time_to_mend() -> None:
    assert {unit.timing.pause_seconds for unit in material("piano.passage").units} == {20}  # type: ignore[union-attr] # passages are timed by bars


def test_the_breath_that_is_timed_is_said() -> None:
    made = material("piano.major-scale", keys=["C"], passes=3)
    assert said("piano.major-scale", "how_much", made, 1) == "three passes, a breath between"
    assert said("piano.major-scale", "how_much", material("piano.major-scale", passes=1), 1) == "one pass"


def test_minor_scales_have_short_names_in_their_list() -> None:
    made = material("piano.minor-scale", keys=["B", "F#"])
    assert (
        said("piano.minor-scale", "what", made, 3)
        == "Minor scales: B harmonic, B melodic and F sharp harmonic"
    )
    assert said("piano.minor-scale", "what", made, 1) == "Minor scale: B harmonic"


@pytest.mark.parametrize(
    ("exercise", "settings", "chord"),
    [
        ("piano.arpeggio", {"keys": ["F"]}, "F-A-C"),
        ("piano.arpeggio", {"keys": ["C"], "chord": "dominant-seventh"}, "G-B-D-F"),
        ("piano.cadence", {"keys": ["Eb"]}, "B♭-D-F"),
        ("piano.ground-improvisation", {"keys": ["A"]}, "A-G-F-E"),
    ],
)
def test_a_chord_is_one_word(exercise: str, settings: dict[str, list[str]], chord: str) -> None:
    (line,) = details(material(exercise, **settings)).values()
    assert chord in re.split(r"[ ;()]+", line)
    assert not re.search("[A-G][♭♯]? [A-G][♭♯]?( |;|$)", line), line


def test_what_is_said_of_two_keys_and_of_one() -> None:
    made = material("piano.major-scale", keys=["A", "D"], octaves=2, bpm=92, notes_per_beat=2, passes=4)
    parts = ("what", "how", "how_much", "done_when")
    assert [said("piano.major-scale", part, made, 2) for part in parts] == [
        "Major scales in D and A",
        "hands together, two octaves up and down with the same fingering, legato, quavers at crotchet = 92",
        "four passes of each key, a breath between",
        "the last pass of each key is even and without a stumble; if not, note the key and leave it for next time",
    ]
    assert [said("piano.major-scale", part, made, 1) for part in parts] == [
        "Major scale in D",
        "hands together, two octaves up and down with the same fingering, legato, quavers at crotchet = 92",
        "four passes, a breath between",
        "the last pass is even and without a stumble; if not, note the key and leave it for next time",
    ]


def test_the_same_fingers_but_where_a_scale_asked_for_has_others_coming_down() -> None:
    # The right hand of F sharp melodic minor goes up 2 3 1 2 3 4 1, the one of the natural minor comes down 3 4 1
    # 2 3 1 2 in reverse (fingerings in general use, from memory); B has the same both ways.
    both_ways = said("piano.minor-scale", "how", material("piano.minor-scale", keys=["B"]), 2)
    changing = said("piano.minor-scale", "how", material("piano.minor-scale", keys=["B", "F#"]), 4)
    harmonic = said(
        "piano.minor-scale", "how", material("piano.minor-scale", keys=["F#"], forms=["harmonic"]), 1
    )
    assert "with the same fingering, legato" in both_ways
    assert "with the same fingering except where shown, legato" in changing
    assert "with the same fingering, legato" in harmonic


@pytest.mark.parametrize(
    ("settings", "speed"),
    [
        ({}, "a tempo that its hardest bar can hold"),
        ({"bpm": 66}, "crotchet = 66"),
        ({"bpm": 46, "beat": "dotted-crotchet"}, "dotted crotchet = 46"),
    ],
)
def test_a_run_through_leaves_no_speed_to_choose(settings: dict[str, object], speed: str) -> None:
    made = material("piano.run-through", **settings)
    assert said("piano.run-through", "how", made, 1) == f"at {speed}, without stopping whatever happens"
