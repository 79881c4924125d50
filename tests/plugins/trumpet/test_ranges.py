"""How high and how low: what a player of a level usually has, and what strains."""

import pytest
from bagatelle.catalogue.pitch_range import PitchRange
from bagatelle.contract import Exercise
from bagatelle.model.errors import InvalidInputError

from tests.plugins.trumpet.loaded import entries, instruments, material, own_exercises
from tests.plugins.trumpet.pitches import midi
from tests.plugins.trumpet.published import CHART, USUAL_RANGE

EXERCISES = own_exercises()
OUTSIDE_THE_CHART = {"trumpet.pedal-notes", "trumpet.above-high-c"}


def name_of(exercise: Exercise) -> str:
    return exercise.id.partition(".")[2]


def spans(exercise: Exercise, *, everything: bool) -> list[tuple[int, int]]:
    """Lowest and highest pitch of each unit at the defaults, or with all values of each list chosen in turn."""
    name = name_of(exercise)
    given: list[dict[str, object]] = [{}]
    if everything:
        given += [
            {setting: [value] if "items" in schema else value}
            for setting, schema in exercise.settings_schema["properties"].items()
            for value in schema.get("items", schema).get("enum", ())
        ]
    return [
        (unit.lowest_pitch, unit.highest_pitch)
        for settings in given
        for unit in material(name, **settings).units
        if unit.lowest_pitch is not None and unit.highest_pitch is not None
    ]


def test_the_range_is_the_chart_and_what_two_exercises_add() -> None:
    instrument = instruments().instrument("trumpet")
    assert instrument is not None
    assert (instrument.lowest_pitch, instrument.highest_pitch) == (midi("C3"), midi("F6"))
    every = [span for exercise in EXERCISES for span in spans(exercise, everything=True)]
    assert min(low for low, _ in every) == midi("C3")
    assert max(high for _, high in every) == midi("F6")


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_whatever_is_chosen_has_valves_in_the_chart(exercise: Exercise) -> None:
    written = [midi(each) for each in CHART]
    found = spans(exercise, everything=True)
    if exercise.id in OUTSIDE_THE_CHART:
        assert any(low < min(written) or high > max(written) for low, high in found)
        assert exercise.level in {"advanced", "professional"}
    else:
        assert all(min(written) <= low <= high <= max(written) for low, high in found)


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_the_defaults_are_usual_at_the_level(exercise: Exercise) -> None:
    lowest, highest = (midi(end) for end in USUAL_RANGE[exercise.level])
    for low, high in spans(exercise, everything=False):
        assert high <= highest
        assert low >= lowest or exercise.id == "trumpet.pedal-notes"


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_what_strains_little_stays_below_high_a(exercise: Exercise) -> None:
    # Common practice, no source: high A and above is work at any level.
    if exercise.strain in {"none", "low"}:
        assert all(high < midi("A5") for _, high in spans(exercise, everything=True))


def test_every_exercise_on_chosen_notes_says_how_high_it_goes() -> None:
    # So that a learner's own limits hold. Left out: pieces of the learner's own, air, and words.
    silent = {name for name, entry in entries().items() if "highest" not in entry["units"]}
    assert silent == {
        *("first-minutes", "breathing", "air-patterns", "mouthpiece-glides", "mouthpiece-tune", "lead-pipe"),
        *("soft-melody", "endurance", "orchestral-calls", "muted-passage", "mute-changes", "hymn-phrases"),
        *("transposition", "mixed-parts", "transposed-scale-steps", "concert-pitch", "valves-by-heart"),
        *("counted-rests", "twelve-bar-riffs"),
    }


def test_a_learners_own_limit_is_held() -> None:
    complete = instruments().complete_settings("trumpet.range-building", {"tops": ["e-5", "g-5"]})
    with pytest.raises(InvalidInputError, match="'g-5' goes up to G5, above E5"):
        instruments().material("trumpet.range-building", complete, learner=PitchRange(highest=midi("E5")))
