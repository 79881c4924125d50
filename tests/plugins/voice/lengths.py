"""How long each unit must be, worked out from what its words say and from settings alone.

A pattern: its notes but the last at so many to the beat, a beat for the last, and the beats to breathe or rest that
the text names; so many keys, so many passes. Others: beats of one pass that the text names, or plain seconds.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Final

from tests.plugins.voice.degrees import FIVE, FIVE_DOWN, OCTAVE_ARPEGGIO, TRIAD, notes
from tests.plugins.voice.loaded import choices

Settings = Mapping[str, Any]
Number = Fraction | int


def chosen(of: str, setting: str) -> Callable[[Settings], int]:
    return lambda s: notes(choices(of)[s[setting]]["label"])


def fixed(degrees: str) -> Callable[[Settings], int]:
    return lambda _: notes(degrees)


# By exercise: how many notes, notes to the beat, beats between the last note and the next key.
PATTERNS: Final[Mapping[str, tuple[Callable[[Settings], int], int, int]]] = {
    "humming-thirds": (fixed("1-2-3-2-1"), 2, 1),
    "trilled-fives": (fixed(FIVE), 2, 1),
    "five-notes": (chosen("five-pattern", "pattern"), 2, 1),
    "fives-from-above": (fixed(FIVE_DOWN), 2, 1),
    "legato-line": (fixed(FIVE), 2, 1),
    "chromatic-fives": (lambda _: 7 + 1 + 7, 2, 1),
    "octave-patterns": (chosen("octave-pattern", "pattern"), 2, 1),
    "staccato": (fixed(OCTAVE_ARPEGGIO), 2, 1),
    "leaps": (chosen("leap", "leap"), 2, 1),
    "runs": (chosen("run", "run"), 4, 1),
    "agility-by-tempo": (chosen("run", "run"), 4, 1),
    "first-passage": (fixed(FIVE), 2, 1),
    "second-passage": (fixed(TRIAD), 2, 2),
    "mixed-calls": (fixed(TRIAD), 2, 2),
    "twelfths": (chosen("twelfth-pattern", "pattern"), 2, 2),
    "range-up": (fixed(TRIAD), 2, 4),
    "range-down": (fixed(FIVE_DOWN), 1, 3),
    "soft-singing": (fixed(FIVE_DOWN), 1, 3),
    "young-fives": (fixed(FIVE_DOWN), 2, 1),
    "sol-fa-scales": (lambda _: 7 + 1 + 7, 1, 2),
}

# Beats of one pass of one unit.
BEATS: Final[Mapping[str, Callable[[Settings, str], Number]]] = {
    "standing": lambda s, _: 2 * s["breaths"] * 6,
    "silent-breath": lambda s, unit: s["count_in"] + int(unit),
    "equal-counts": lambda _, unit: 3 * int(unit),
    "hiss": lambda _, unit: 4 + int(unit),
    "breath-pulses": lambda _s, _: 4 + 4 + 4 + 4,
    "ng-sirens": lambda s, _: s["keys"] * (4 + 4 + 2),
    "spoken-to-sung": lambda _s, _: 3 * (8 + 4),
    "onsets": lambda _s, _: 5 * 2 + 4 + 2,
    "nasal-to-vowel": lambda s, _: s["notes_up"] * (3 + 5 + 4),
    "vowel-chain": lambda s, _: s["notes_up"] * (5 * 2 + 2),
    "sustained-notes": lambda s, _: s["notes_up"] * (s["beats"] + 4),
    "messa-di-voce": lambda s, _: s["notes_up"] * (s["beats"] + 8),
    "colours": lambda s, _: s["notes_up"] * (8 + 4),
    "young-hums": lambda _s, _: 4 + 4,
    "young-vowels": lambda _s, _: 6 + 4,
    "ornaments": lambda s, _: s["notes_up"] * (2 + 1 + 2 + 3),
    "consonants": lambda _s, _: 6 + 2,
    # Each figure in semiquavers without a breath, a beat home, three to breathe.
    "sequences": lambda s, unit: (
        s["starts"] * (s["keys"] * Fraction(notes(choices("sequence")[unit]["label"]), 4) + 1 + 3)
    ),
    # Six notes of two beats, the held note for four, four to breathe.
    "without-a-key": lambda _s, _: 6 * 2 + 4 + 4,
    "one-note-registers": lambda s, _: s["notes_up"] * (4 + 4),
    "vowels-at-the-top": lambda s, _: s["keys"] * (3 * 2 + 4),
    "marking": lambda s, _: s["bars"] * s["beats"],
    "text-in-rhythm": lambda s, _: s["bars"] * s["beats"],
    "silent-run": lambda s, _: s["bars"] * s["beats"],
    "inner-part": lambda s, _: 3 * s["bars"] * s["beats"],
    "entries": lambda s, _: s["entries"] * (s["rests"] + 1) * 4,
    "line-in-layers": lambda s, _: 4 * (s["bars"] + 1) * 4,
    "vowels-of-a-text": lambda _s, _: 2 * (8 + 4),
    "chords-sung": lambda s, unit: s["roots"] * (chord_notes(unit) + 4),
    "bar-aloud-bar-within": lambda s, _: s["bars"] * 4,
    "sight-singing": lambda s, _: s["bars"] * 4,
    "drone": lambda _s, _: 8 + 4,
    "thirds-above": lambda s, _: s["bars"] * 4,
    "own-round": lambda s, _: (s["bars"] + s["passes"] * (s["bars"] + 2)) * 4,
    "free-over-drone": lambda s, _: s["phrases"] * (2 + 2) * 4,
    "call-and-response": lambda s, _: s["choruses"] * 12 * 4,
    "record-and-mark": lambda s, _: 3 * s["bars"] * s["beats"],
    "varied-repeat": lambda s, _: (1 + s["versions"]) * s["bars"] * s["beats"],
}
ALL_PASSES_IN_BEATS: Final = frozenset({"own-round", "call-and-response", "varied-repeat", "free-over-drone"})
"""What is counted there is the whole unit."""

# Seconds of pauses, all passes together.
PAUSES: Final[Mapping[str, Callable[[Settings], int]]] = {
    "silent-breath": lambda s: 4 * s["passes"],
    "equal-counts": lambda s: 5 * s["passes"],
    "hiss": lambda s: 4 * s["passes"],
    "sight-singing": lambda s: int(s["look_seconds"]),
    "thirds-above": lambda _: 45,
    "record-and-mark": lambda _: 30,
    "varied-repeat": lambda s: 5 * (s["versions"] - 1) + 30,
}

# Plain lengths of one unit.
SECONDS: Final[Mapping[str, Callable[[Settings], int]]] = {
    "easy-glides": lambda s: int(s["glide_seconds"]),
    **dict.fromkeys(
        ("loosening", "straw", "cool-down", "text-aloud", "score-marks", "questions", "map-of-a-song"),
        lambda s: int(s["each_seconds"]),
    ),
    "word-for-word": lambda s: int(s["line_seconds"]),
    "words-from-memory": lambda s: s["line_seconds"] * s["passes"],
    "recitative": lambda s: 3 * s["bars"] * s["bar_seconds"] * s["passes"],
    "intervals": lambda s: 15 * s["notes_each"],
    "song-through": lambda s: 60 * s["minutes_long"],
    "as-on-stage": lambda s: 60 * (s["minutes_long"] + 1),
    "swelling-check": lambda s: 8 * s["keys"],
    "cues": lambda s: s["cues"] * s["cue_seconds"] * s["passes"],
    "cadenzas": lambda s: 60 * s["minutes_each"] + (10 + 10) * s["passes"],
    "first-note": lambda s: 20 * s["songs"] * s["passes"],
}


def chord_notes(chord: str) -> int:
    """Up and down, the top once."""
    return 2 * len(choices("chord")[chord]["way"].partition("semitones ")[2].split()) - 1


def seconds(exercise: str, settings: Settings, unit: str) -> Fraction:
    """The whole length of one unit, exactly."""
    if exercise in SECONDS:
        return Fraction(SECONDS[exercise](settings))
    bpm = int(unit) if exercise == "agility-by-tempo" else settings.get("bpm", 60)
    passes = 1 if exercise in ALL_PASSES_IN_BEATS else settings.get("passes", 1)
    pause = PAUSES[exercise](settings) if exercise in PAUSES else 0
    return Fraction(beats(exercise, settings, unit)) * 60 / bpm * passes + pause


def beats(exercise: str, settings: Settings, unit: str) -> Number:
    if exercise not in PATTERNS:
        return BEATS[exercise](settings, unit)
    count, to_the_beat, rest = PATTERNS[exercise]
    return int(settings["keys"]) * (Fraction(count(settings) - 1, to_the_beat) + 1 + rest)
