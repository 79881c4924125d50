"""How long each unit must be, worked out from the settings alone.

Notes hold a slot each, bars hold their beats: slots * 60 / bpm * passes, and pauses; or a plain length.
A unit is what it is the unit of: a value of a list of choices (by name), or the bar at which a passage begins.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from math import lcm
from typing import Any

from tests.plugins.musicianship.loaded import row

Settings = Mapping[str, Any]
Formula = Callable[[Settings, str], Fraction | int]


def beats(count: int, settings: Settings, passes: int = 1) -> Fraction:
    """So many beats or notes at the tempo, so often."""
    return Fraction(60 * count * passes, settings["bpm"])


def passage(settings: Settings, pause: int) -> Fraction:
    """Bars from a bar on, each pass followed by a pause."""
    passes: int = settings["passes"]
    return beats(settings["bars"] * settings["beats"], settings, passes) + pause * passes


def dictation(settings: Settings, check: int) -> Fraction:
    """So many hearings, writing after each, and the check."""
    hearings: int = settings["hearings"]
    writing: int = settings["writing_seconds"]
    heard = beats(settings["bars"] * settings["beats"], settings, hearings)
    return heard + hearings * writing + check


def in_metre(settings: Settings, beats_a_bar: int, pause: int) -> Fraction:
    passes: int = settings.get("passes", 1)
    return beats(settings["bars"] * beats_a_bar, settings, passes) + pause * passes


SECONDS: Mapping[str, Formula] = {
    "warm-up": lambda s, _: s["step_seconds"],
    "inner-tone": lambda s, _: beats(12, s, s["passes"]),
    "fingering-in-the-head": lambda s, _: passage(s, 8),
    "intervals-sung": lambda s, _: 12 * s["starts"],
    "interval-pairs": lambda s, _: 7 * s["questions"],
    "random-intervals": lambda s, _: 10 * s["questions"],
    "triads-sung": lambda s, _: beats(5, s, s["passes"]) + 7 * s["passes"],
    "chords-told-apart": lambda s, _: 8 * s["questions"],
    "sevenths-sung": lambda s, _: beats(7, s, s["passes"]) + 8 * s["passes"],
    "lowest-note": lambda s, _: 10 * s["chords"],
    "scale-degrees": lambda s, _: 14 * s["keys"],
    "cadence-basses": lambda s, _: 16 * s["keys"],
    "pure-intervals": lambda s, _: 15 * s["passes"],
    "chords-on-a-held-note": lambda s, unit: (s["hold_seconds"] * _up_and_back(unit) + 6) * s["passes"],
    "pitch-kept": lambda s, unit: (int(unit) + 12) * s["passes"],
    "note-before-the-tuner": lambda _s, _: 25,
    "rhythm-dictation": lambda s, _: dictation(s, 20),
    "melody-dictation": lambda s, _: dictation(s, 20),
    "bass-line": lambda s, _: dictation(s, 15),
    "chords-by-ear": lambda s, _: dictation(s, 25),
    "transcription": lambda s, _: 9 * s["loops"],
    "one-line": lambda s, _: (s["stretch_seconds"] + 5) * s["passes"],
    "listening-tasks": lambda s, _: 60 * s["stretch_minutes"] + 15,
    "pulse-with-gaps": lambda s, unit: beats(4 * sum(map(int, _gap(unit))), s, s["passes"]),
    "tempo-memory": lambda s, _: 20 * s["passes"],
    "counting-aloud": lambda s, unit: in_metre(s, row("metre", unit)["beats"], 4),
    "conducting-patterns": lambda s, unit: in_metre(s, row("metre", unit)["beats"], 4),
    "subdivisions": lambda s, _: in_metre(s, 4, 0),
    "beat-patterns": lambda s, _: in_metre(s, 4, 0),
    "syncopation": lambda s, _: in_metre(s, 4, 0),
    "cross-rhythms": lambda s, unit: beats(row("cross-rhythm", unit)["slots"], s, s["passes"]),
    "timelines": lambda s, unit: beats(row("timeline", unit)["slots"], s, s["passes"]),
    "unequal-beats": lambda s, unit: beats(row("grouping", unit)["quavers"], s, s["passes"]),
    "changing-metres": lambda s, unit: beats(row("change", unit)["quavers"], s, s["passes"]),
    "two-metres-at-once": lambda s, unit: beats(_shared(unit), s, s["passes"]),
    "rhythms-at-sight": lambda s, unit: in_metre(s, row("rhythm-line", unit)["beats"], 0) + s["look_seconds"],
    "two-lines-tapped": lambda s, _: passage(s, 4),
    "long-rests": lambda s, _: passage(s, 8),
    "degree-rows": lambda s, unit: beats(row("degree-row", unit)["notes"], s, s["passes"]) + 5 * s["passes"],
    "chromatic-syllables": lambda s, _: beats(13, s, s["passes"]) + 6 * s["passes"],
    "modes-sung": lambda s, _: beats(15, s, s["passes"]) + 5 * s["passes"],
    "sight-singing": lambda s, _: in_metre(s, s["beats"], 0) + s["look_seconds"] + 15,
    "singing-by-interval": lambda s, _: beats(s["notes"], s) + 30,
    "twelve-note-rows": lambda s, _: beats(12, s, s["passes"]) + 12 * s["passes"],
    "seen-then-heard": lambda s, _: passage({**s, "passes": 2}, 10),
    "note-names-in-clefs": lambda s, _: beats(s["notes"], s, s["passes"]) + 4 * s["passes"],
    "singing-in-clefs": lambda s, _: in_metre(s, s["beats"], 20),
    "chorale-parts": lambda s, _: passage(s, 8),
    "sung-and-tapped": lambda s, _: passage(s, 5),
    "key-signatures": lambda s, _: 20 * s["passes"],
    "minor-keys": lambda s, _: 20 * s["passes"],
    "circle-of-fifths": lambda s, _: beats(8 * 2, s, s["passes"]) + 3 * s["passes"],
    "note-values": lambda s, _: 15 * s["ways"],
    "bars-written": lambda s, _: 18 * s["bar_count"],
    "intervals-spelled": lambda s, _: 45 * s["passes"],
    "triads-spelled": lambda s, _: beats(14 * 4, s, s["passes"]),
    "sevenths-spelled": lambda s, _: 72 * s["passes"],
    "modes-spelled": lambda s, _: 45 * s["passes"],
    "transposing-instruments": lambda s, _: 45 * s["passes"],
    "transposed-in-the-head": lambda s, _: passage(s, 8),
    "chords-of-a-key": lambda s, _: 10 * s["passes"],
    "progressions-sung": lambda s, unit: in_metre({**s, "bars": _chords(unit)}, 4, 6),
    "harmony-labels": lambda s, _: 30 * s["bars"],
    "figures-spelled": lambda s, _: 50 * s["passes"],
    "pivot-chords": lambda s, _: 60 * (1 + s["transpositions"]),
    "chromatic-chords": lambda _s, _: 90,
    "cadences-written": lambda s, _: 50 * s["passes"],
    "species-counterpoint": lambda s, _: 60 * s["writing_minutes"],
    "tune-harmonised": lambda s, _: 25 * s["bars"] + 20,
    "harmonic-plan": lambda s, _: s["look_seconds"] + s["write_seconds"] + 30,
    "few-notes": lambda s, _: in_metre(s, 4, 0),
    "question-and-answer": lambda s, _: in_metre({**s, "bars": 4}, 4, 0),
    "mode-improvised": lambda s, _: s["stretch_seconds"] * s["passes"],
    "over-a-progression": lambda s, unit: in_metre({**s, "bars": _chords(unit)}, 4, 0),
    "rhythm-improvised": lambda s, unit: in_metre(s, row("metre", unit)["beats"], 0),
    "variations-in-the-head": lambda s, _: in_metre(s, 4, 0),
    "form-map": lambda s, _: s["step_seconds"],
    "marking-a-part": lambda s, _: 10 * s["bars"],
    "two-editions": lambda s, _: 6 * s["bars"],
    "full-score": lambda s, _: (s["stretch_seconds"] + 8) * s["passes"],
    "transposing-staves": lambda s, _: passage(s, 12),
    "words-of-a-song": lambda s, _: s["step_seconds"],
    "performance-plan": lambda s, _: s["step_seconds"],
    "two-recordings": lambda s, _: 2 * (s["stretch_seconds"] + 10),
    "passage-imagined": lambda s, _: passage(s, 6),
    "notes-named-from-memory": lambda s, _: passage(s, 10),
    "written-from-memory": lambda s, _: 30 * s["bars"] + 20,
    "starting-places": lambda s, _: passage(s, 8),
    "performance-imagined": lambda s, _: 60 * s["playing_minutes"] + 45,
}


def _gap(unit: str) -> list[str]:
    label: str = row("gap", unit)["label"]
    return label.split(" + ")


def _chords(unit: str) -> int:
    return len(row("progression", unit)["figures"].split())


def _up_and_back(unit: str) -> int:
    """Notes from the lowest of a chord to its highest and back, the highest once."""
    return 2 * len(row("pure-chord", unit)["ratio"].split(":")) - 1


def _shared(unit: str) -> int:
    """Quavers until two bars of different length begin together again."""
    counted, tapped = (int(each) for each in row("metre-pair", unit)["label"].split(" over "))
    return lcm(counted, tapped)


def seconds(exercise: str, settings: Settings, unit: str) -> Fraction:
    """Length of one unit, not yet rounded up."""
    return Fraction(SECONDS[exercise.removeprefix("musicianship.")](settings, unit))
