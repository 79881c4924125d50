"""What a drummer reads: exact, bounded, in the trade's words, with nothing left to choose or to guess."""

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.contract import Exercise, Material, Message, Value
from bagatelle.wording import Wording, engine_texts
from bagatelle_snare_drum.catalogue import instrument, texts
from bagatelle_snare_drum.durations import exact_seconds
from bagatelle_snare_drum.exercises.wording import in_words, lasting, tempo, times
from bagatelle_snare_drum.plugin import bagatelle_material
from bagatelle_snare_drum.rudiments import rudiments
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import plan_of

EXERCISES = instrument().exercises
BY_ID = {exercise.id: exercise for exercise in EXERCISES}
WORDING = Wording((*engine_texts(), *texts()))
EACH = pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
ENGLISH = dict(texts()[0].messages)
NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"


def said(message: Message, locale: str = "en") -> str:
    return WORDING.render(message, locale).replace(NO_BREAK_SPACE, " ")


def material_of(name: str, **settings: Any) -> Material:
    exercise = BY_ID[f"snare-drum.{name}"]
    return bagatelle_material(exercise.id, {**exercise.defaults, **settings})


def text(name: str, part: str, material: Material, count: int = 1, locale: str = "en") -> str:
    labels = tuple(unit.label for unit in material.units[:count])
    of_engine: Mapping[str, Value] = {"units": labels, "unit_count": count, "seconds": 60, "minutes": 1}
    return said(Message(f"snare-drum.{name}.{part}", {**material.parameters, **of_engine}), locale)


def details(material: Material, locale: str = "en") -> dict[str, str]:
    return {unit.id: said(unit.detail, locale) for unit in material.units if unit.detail}


def sentences() -> Iterator[tuple[str, str]]:
    for name, template in ENGLISH.items():
        yield from ((name, each) for each in ([template] if isinstance(template, str) else template.values()))


def test_no_text_asks_for_a_number_of_clean_passes_in_a_row() -> None:
    assert [name for name, sentence in sentences() if re.search(r"in a row|once more", sentence)] == []


@EACH
def test_a_finish_that_can_fail_says_what_then(exercise: Exercise) -> None:
    # Finished by the clock, by the last bar, or by turning back: these cannot fail.
    cannot_fail = {
        "warm-up": "the time is up",
        "sight-reading": "clean or not",
        "open-closed-open": "turn back there",
        "fast-singles": "or earlier",
    }
    name = exercise.id.removeprefix("snare-drum.")
    finish = str(ENGLISH[f"{exercise.id}.done_when"])
    if name in cannot_fail:
        assert cannot_fail[name] in finish
    else:
        assert re.search(r"\blast (pass|roll|solo)\b.*; if not, .*leave it", finish)


def test_a_proposal_finishes_with_its_last_pass() -> None:
    for proposal in instrument().proposals:
        finish = str(ENGLISH[proposal.done_when])
        assert proposal.passes == 1 or re.search(
            r"\blast (pass|roll|solo|time)\b.*; if not, .*leave it", finish
        )


@EACH
@pytest.mark.parametrize("surface", ["pad", "drum"])
def test_what_is_played_on_is_no_choice(exercise: Exercise, surface: str) -> None:
    name = exercise.id.removeprefix("snare-drum.")
    how = text(name, "how", material_of(name, surface=surface))
    assert f"on the {surface}" in how
    assert "pad or drum" not in how
    # A drum can be loud: ear plugs are named here or in the exercise's caution.
    if surface == "drum":
        assert ("ear plugs" in how) != ("snare-drum.caution.hearing" in exercise.cautions)


@EACH
def test_nothing_is_loud_on_a_pad(exercise: Exercise) -> None:
    name = exercise.id.removeprefix("snare-drum.")
    on_pad, on_drum = (material_of(name, surface=surface).loudness for surface in ("pad", "drum"))
    assert (on_pad or exercise.loudness) == "moderate"
    assert (on_drum or exercise.loudness) == exercise.loudness


def test_ear_plugs_are_for_the_drum() -> None:
    for surface in ("pad", "drum"):
        task = {"id": "t", "exercise": "snare-drum.dynamics", "minutes": 20, "settings": {"surface": surface}}
        sent = {"instrument": "snare-drum", "routine": {"blocks": [{"title": "Sound", "tasks": [task]}]}}
        plan = plan_of(sent)
        step = next(step for step in plan.steps if step.task == "t")
        assert f"on the {surface}" in step.how
        assert ("plugs" in " ".join((*step.cautions, *plan.cautions))) == (surface == "drum")
        assert (plan.sound is not None) == (surface == "drum")
        # Strokes up to ff warm nobody up, on a pad either.
        assert [task.prepares for task in plan.tasks if task.task == "t"] == [False]


@EACH
def test_the_loud_ones_are_on_the_drum(exercise: Exercise) -> None:
    assert exercise.defaults["surface"] == ("drum" if exercise.loudness == "loud" else "pad")


@pytest.mark.parametrize(
    ("rounds", "bpm", "expected"),
    [(10, 80, "one minute"), (20, 80, "two minutes"), (15, 80, "one and a half minutes")],
)
def test_a_warm_up_is_counted_in_minutes(rounds: int, bpm: int, expected: str) -> None:
    # 16 quavers are 8 beats: 6 s at 80.
    material = material_of("warm-up", rounds=rounds, bpm=bpm)
    assert text("warm-up", "how_much", material) == expected
    assert text("warm-up", "how_much", material, count=2) == f"{expected} of each"


@given(st.fractions(min_value=5, max_value=600, max_denominator=100))
def test_a_length_is_said_within_a_quarter_of_a_minute(length: Fraction) -> None:
    words = said(lasting(length))
    numbers = {said(Message(f"snare-drum.number.{each}")): each for each in range(1, 13)}
    count = re.sub(r"^about ", "", words).split()[0]
    if "half a minute" in words:
        seconds = 30
    elif "second" in words:
        seconds = numbers.get(count) or int(count)
    else:
        seconds = 60 * numbers[count] + (30 if "and a half" in words else 0)
    assert abs(seconds - length) <= 15
    assert words.startswith("about ") == (seconds != length)


def test_numbers_to_twelve_are_words() -> None:
    assert in_words(13) == 13
    assert [said(times(number)) for number in (1, 2, 3, 12, 13)] == [
        "once",
        "twice",
        "three times",
        "twelve times",
        "13 times",
    ]


@EACH
def test_amounts_hold_no_small_figure(exercise: Exercise) -> None:
    name = exercise.id.removeprefix("snare-drum.")
    material = material_of(name)
    for count in (1, len(material.units)):
        figures = re.findall(r"\d+", text(name, "how_much", material, count))
        assert [figure for figure in figures if int(figure) <= 12] == []


def test_what_comes_between_passes_is_said() -> None:
    def amount(passes: int, pause_seconds: int) -> str:
        material = material_of("single-strokes", passes=passes, pause_seconds=pause_seconds)
        return text("single-strokes", "how_much", material)

    assert amount(1, 0) == amount(1, 5) == "one pass of eight bars"
    assert amount(1, 20) == "one pass of eight bars, then 20 seconds of rest"
    assert amount(3, 0) == "three passes of eight bars, one straight after the other"
    assert amount(3, 5) == "three passes of eight bars, a breath between"
    assert amount(3, 8) == "three passes of eight bars, eight seconds of rest after each"


def passages(*changes: Mapping[str, Any]) -> Material:
    usual = {"bars": 8, "beats_per_bar": 2, "beat": "dotted crotchet", "bpm": 72, "passes": 4}
    given_passages = [
        {"id": f"p{number}", "label": f"bars {number}1-{number}8", **usual, **change}
        for number, change in enumerate(changes)
    ]
    return material_of("passage", passages=given_passages)


def test_passages_alike_have_tempo_and_passes_in_the_step() -> None:
    material = passages({}, {})
    assert details(material)["p0"] == "dotted crotchet = 72, four passes"
    assert text("passage", "how", material, 2).startswith("on the drum at dotted crotchet = 72,")
    assert (
        text("passage", "how_much", material, 1)
        == "four passes, the worst spot alone after every pass but the last"
    )
    assert text("passage", "how_much", material, 2).startswith("four passes of each,")
    # In the head nothing is played that could be mended.
    soft = "four passes, looking again in between at what was blurred"
    assert text("passage", "soft.how_much", material, 1) == soft


def test_passages_that_differ_have_them_beside_each() -> None:
    material = passages({}, {"bpm": 80, "beat": "minim", "passes": 1, "pause_seconds": 0})
    assert details(material) == {"p0": "dotted crotchet = 72, four passes", "p1": "minim = 80, one pass"}
    assert "at the tempo beside the passage" in text("passage", "how", material, 1)
    assert "at the tempo beside each passage" in text("passage", "how", material, 2)
    assert text("passage", "how_much", material, 1) == "as often as stands beside the passage"
    assert text("passage", "how_much", material, 2) == "as often as stands beside each passage"
    # The note value is part of the tempo: crotchet = 72 is not dotted crotchet = 72.
    other_beat = passages({}, {"beat": "crotchet"})
    assert "beside each passage" in text("passage", "how", other_beat, 2)


def test_american_note_values() -> None:
    british = {
        "crotchet": "quarter",
        "dotted crotchet": "dotted quarter",
        "minim": "half",
        "quaver": "eighth",
    }
    accepted = BY_ID["snare-drum.passage"].settings_schema["properties"]["passages"]["items"]["properties"]
    assert accepted["beat"]["enum"] == list(british)
    for beat, american in british.items():
        (detail,) = details(passages({"beat": beat}), "en-US").values()
        assert detail == f"{american} note = 72, four passes"
    assert said(tempo(60)) == "crotchet = 60"


@pytest.mark.parametrize("rudiment", rudiments(), ids=lambda each: each.id)
def test_every_sign_of_a_sticking_is_explained(rudiment: Any) -> None:
    material = material_of("open-closed-open", rudiments=[rudiment.name])
    how = text("open-closed-open", "how", material)
    signs = {
        r">": "> is an accent",
        r"[lr]": "grace notes",
        r"\(": "strokes in brackets",
        r"z": "z is a multiple bounce",
        r"-": "- counts on",
        r"\|": "the two sides of | together are once through",
    }
    for sign, explanation in signs.items():
        assert (explanation in how) == bool(re.search(sign, rudiment.sticking))


def test_a_roll_says_open_or_closed_and_what_the_hands_play() -> None:
    rolls = [each.id for each in rudiments() if each.family == "roll"]
    found = details(material_of("rolls", rudiments=rolls))
    assert "open" not in found["single-stroke-roll"]
    assert found["double-stroke-open-roll"] == "RR LL, in semiquavers, open, the hands in quavers"
    assert found["triple-stroke-roll"] == "RRR LLL, in triplet quavers, open, the hands in crotchets"
    assert found["six-stroke-roll"] == "R> LL RR L>, in triplet quavers, open"
    assert found["multiple-bounce-roll"] == "Rz Lz, in a closed roll, the hands in quavers"
    grouped = {each.id for each in rudiments() if each.group in {"double", "multiple bounce"}}
    assert {name for name, detail in found.items() if re.search(r"\bopen\b|\bclosed\b", detail)} == grouped
    buzz = text("buzz-roll", "how", material_of("buzz-roll", hands="triplets"))
    assert "a closed roll, hands in triplet quavers" in buzz


def test_flam_tap_and_flam_paradiddle_move_alike() -> None:
    # Common practice, no source: at one tempo neither should feel half as fast as the other.
    values = {each.id: each.notes_per_beat for each in rudiments()}
    assert values["flam-tap"] == values["inverted-flam-tap"] == values["flam-paradiddle"] == 4


def test_a_line_of_text_breaks_a_sticking_between_the_hands_alone() -> None:
    (unit,) = material_of("drags", rudiments=["Triple Ratamacue"]).units
    assert unit.detail is not None
    shown = WORDING.render(unit.detail, "en").split(", in ")[0]
    assert shown.count(" ") == 1
    assert "| " in shown


def test_labels_hold_no_comma() -> None:
    # Several are listed in one sentence.
    for exercise in EXERCISES:
        units = bagatelle_material(exercise.id, exercise.defaults).units
        assert [unit.id for unit in units if "," in said(unit.label)] == []


def test_a_piece_on_the_drum_is_not_begun_cold() -> None:
    # Common practice, no source: two minutes of warm-up come before it. The engine puts one before what strains.
    pieces = [each for each in EXERCISES if each.area == "repertoire"]
    assert [each.strain for each in pieces] == ["moderate"]


def test_a_warm_up_can_hold_doubles_that_quicken() -> None:
    # Common practice, no source. Ten rounds of eight beats at 80 are a minute, whatever is played to them.
    material = material_of("warm-up", patterns=["eight-on-a-hand", "doubled-doubles"])
    assert [exact_seconds(unit.timing) for unit in material.units] == [60, 60]
    shown = details(material)["doubled-doubles"].replace("\u00a0", " ")
    assert shown.endswith(", half the time in quavers, then half in semiquavers, softly")
    american = details(material, "en-US")["doubled-doubles"]
    assert american.endswith(", half the time in eighth notes, then half in sixteenth notes, softly")


def test_a_flam_without_an_accent_says_so() -> None:
    shown = details(material_of("flams"))
    assert {name: text.endswith(", no accent") for name, text in shown.items()} == {
        "flam": True,
        "flam-accent": False,
        "flam-tap": True,
        "flam-paradiddle": False,
    }
