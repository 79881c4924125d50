"""How long each unit must be, worked out from the settings alone.

Note counts are the usual convention, the top note once: up and down over n octaves, s notes to the octave
give 2sn + 1 (7 notes: 14n + 1; chromatic: 24n + 1; triads: 6n + 1; sevenths: 8n + 1). A note holds its slot,
the last one too: seconds = notes / notes per beat * 60 / beats per minute * passes. Bars: bars * beats a bar
* 60 / beats per minute * passes.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

Settings = Mapping[str, Any]
FIVE_FINGER_NOTES = {"steps": 9, "thirds": 11, "triad": 5}
ARPEGGIO_NOTES = {"major": 3, "minor": 3, "dominant-seventh": 4, "diminished-seventh": 4}
# One pass of one unit in beats, hands together.
BEATS: Mapping[str, Callable[[Settings, str], Fraction]] = {
    "piano.major-scale": lambda s, _: notes(s, 14 * s["octaves"] + 1),
    "piano.minor-scale": lambda s, _: notes(s, 14 * s["octaves"] + 1),
    "piano.contrary-motion-scale": lambda s, _: notes(s, 14 * s["octaves"] + 1),
    "piano.octaves": lambda s, _: notes(s, 14 * s["octaves"] + 1),
    "piano.chromatic-scale": lambda s, _: notes(s, 24 * s["octaves"] + 1),
    "piano.arpeggio": lambda s, _: notes(s, 2 * ARPEGGIO_NOTES[s["chord"]] * s["octaves"] + 1),
    "piano.broken-chord": lambda s, _: notes(s, 3 * (6 * s["octaves"] + 1)),
    "piano.cadence": lambda s, _: Fraction(2 * len(s["cadences"]) * s["beats_per_chord"]),
    "piano.five-finger": lambda s, _: notes(s, FIVE_FINGER_NOTES[s["pattern"]]),
    "piano.trill": lambda s, _: Fraction(s["beats"]),
    "piano.double-thirds": lambda s, _: notes(s, 5),
    "piano.repeated-notes": lambda s, _: Fraction(s["groups"]),
    "piano.chorale": lambda s, _: Fraction(s["bars"] * s["beats_per_bar"]),
    "piano.sight-reading": lambda s, _: Fraction(s["bars"] * s["beats_per_bar"]),
    "piano.ground-improvisation": lambda s, _: Fraction(4 * s["beats_per_bar"]),
    "piano.interval-singing": lambda _s, _: Fraction(3 * 4),
    "piano.cross-rhythm": lambda s, _: Fraction(s["bars"]),
    "piano.key-signatures": lambda _s, _: Fraction(2 * 4),
    "piano.passage": lambda s, unit: Fraction(
        given(s, unit)["bars"] * given(s, unit).get("beats_per_bar", 4)
    ),
}


def notes(settings: Settings, count: int) -> Fraction:
    return Fraction(count) / Fraction(settings["notes_per_beat"])


def given(settings: Settings, unit: str) -> Mapping[str, Any]:
    passage: Mapping[str, Any] = next(each for each in settings["passages"] if each["id"] == unit)
    return passage


def music_seconds(exercise: str, settings: Settings, unit: str) -> Fraction:
    """Length of the notes of one unit, all its passes, pauses left out."""
    if exercise == "piano.warm-up":
        return Fraction(settings["minutes"] * 60, 2)
    if exercise == "piano.run-through":
        return Fraction(round(settings["minutes"] * 60))
    if exercise == "piano.passage":
        bpm, passes = given(settings, unit).get("bpm", 60), given(settings, unit).get("passes", 3)
    else:
        bpm, passes = settings["bpm"], settings.get("passes", 1)
    turns = 2 if settings.get("hands") == "separately" else 1
    return BEATS[exercise](settings, unit) * turns * 60 * Fraction(passes) / Fraction(bpm)


def whole_seconds(exercise: str, settings: Settings, unit: str) -> Fraction:
    """Length of one unit, its pause included, not yet rounded up."""
    return music_seconds(exercise, settings, unit) + Fraction(settings.get("pause_seconds", 0))
