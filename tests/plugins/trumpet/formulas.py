"""What each exercise should last, written a second time and in fractions; nothing here comes from the plugin.

Bars and notes are counted from what the player reads: four crotchets and a held semibreve are two bars of four.
A rest as long as the playing is counted in whole seconds, rounded up.
"""

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

Settings = Mapping[str, Any]
Seconds = Callable[[Settings, Any], Fraction]
"""Takes the settings and the value of a unit (None where there is one unit alone)."""


def with_rest(played: Fraction, times: int) -> Fraction:
    return played + times * math.ceil(played)


def beats(count: Fraction | int, given: Settings, bpm: int | None = None) -> Fraction:
    return Fraction(count) * 60 / (given["bpm"] if bpm is None else bpm)


def bars(count: int, rest: int = 1) -> Seconds:
    """So many bars of four, a pass, and the rest for so many times as long."""
    return lambda given, _: with_rest(given["passes"] * beats(4 * count, given), rest)


def notes(count: int) -> Seconds:
    """So many notes a pass at the setting `notes_per_beat`, and rest as long."""
    return lambda given, _: with_rest(
        given["passes"] * beats(Fraction(count, given["notes_per_beat"]), given), 1
    )


def held(rest: int = 1) -> Seconds:
    """One note of the setting `beats` a pass, and rest."""
    return lambda given, _: with_rest(given["passes"] * beats(given["beats"], given), rest)


def chosen_bars(per_bar: str | None = None) -> Seconds:
    """As many bars as the setting `bars` says, and rest as long."""
    return lambda given, _: with_rest(
        given["passes"] * beats(given["bars"] * (given[per_bar] if per_bar else 4), given), 1
    )


def at_tempi(count: int) -> Seconds:
    return lambda given, tempo: with_rest(given["passes"] * beats(4 * count, given, tempo), 1)


def by_extent(counts: Mapping[str, int]) -> Seconds:
    return lambda given, value: notes(counts[given["extent"]])(given, value)


BREATHS = {
    "in-4-out-4": 8,
    "in-4-out-8": 12,
    "in-2-out-8": 10,
    "in-1-out-8": 9,
    "in-8-out-8": 16,
    "in-4-out-12": 16,
}


def breathing(given: Settings, pattern: str) -> Fraction:
    each = beats(BREATHS[pattern], given) + 5
    return each * int(given["passes"])


def quick_runs(given: Settings, _: Any) -> Fraction:
    """Ten semiquavers up and back, so many times, and the last note."""
    return with_rest(given["passes"] * beats(Fraction(10 * given["rounds"] + 1, 4), given), 1)


def tongued_scale(given: Settings, _: Any) -> Fraction:
    return with_rest(given["passes"] * beats(Fraction(15 * given["notes_on_each"], 4), given), 1)


def one_articulation(given: Settings, _: Any) -> Fraction:
    return with_rest(given["passes"] * beats(Fraction(15, 2), given), 1)


def calls(given: Settings, _: Any) -> Fraction:
    counted = (given["bars"] + given["lead_in"]) * given["beats_per_bar"]
    return with_rest(given["passes"] * beats(counted, given), 1)


def transposition(given: Settings, _: Any) -> Fraction:
    played = given["passes"] * beats(8 * given["beats_per_bar"], given)
    return with_rest(played, 1) + 10 * int(given["passes"])


def running_tongue(given: Settings, _: Any) -> Fraction:
    """Two octaves up and down in fours, or on to the ninth in threes: seven beats and a note, or ten and a note."""
    count = 7 + Fraction(1, 4) if given["tongue"] == "ta-ka" else 10 + Fraction(1, 3)
    return with_rest(given["passes"] * beats(count, given), 1)


def mixed_parts(given: Settings, _: Any) -> Fraction:
    played = given["passes"] * beats(4 * given["bars"] * given["beats_per_bar"], given)
    return with_rest(played, 1) + 20 * int(given["passes"])


SECONDS: Mapping[str, Seconds] = {
    # trumpet.toml
    "first-minutes": lambda given, _: Fraction(given["seconds_of_each"]),
    "breathing": breathing,
    "air-patterns": lambda given, _: given["passes"] * (beats(20, given) + 3),
    "free-buzzing": held(),
    "mouthpiece-glides": bars(2),
    "mouthpiece-tune": chosen_bars(),
    "lead-pipe": held(),
    "slurs-from-the-middle": bars(2),
    # sound.toml
    "long-tones": held(),
    "swells": held(),
    "soft-long-tones": held(),
    "breath-attacks": lambda given, _: with_rest(given["passes"] * beats(4 * given["attacks"], given), 1),
    "semitone-slurs": bars(2),
    "note-bends": bars(2),
    "pedal-notes": held(),
    "vibrato": bars(4),
    "soft-melody": chosen_bars("beats_per_bar"),
    "warm-down": bars(2),
    # flexibility.toml
    "lip-slurs": bars(2),
    "lip-slurs-of-three": bars(2),
    "lip-slurs-middle": bars(2),
    "lip-slurs-upper": bars(2),
    "slurred-leaps": bars(2),
    "harmonics-in-one-breath": bars(2),
    "shakes": bars(4),
    "lip-trills": bars(4),
    "natural-calls": chosen_bars(),
    # scales.toml
    "five-notes": notes(9),
    "major-scales": notes(15),
    "scales-of-a-twelfth": notes(23),
    "two-octave-scales": notes(29),
    "minor-scales": by_extent({"fifth": 9, "octave": 15}),
    "two-octave-minor-scales": notes(29),
    "chromatic-scale": notes(25),
    "two-octave-chromatic": notes(49),
    "scales-in-thirds": notes(30),
    "major-arpeggios": by_extent({"fifth": 5, "octave": 7}),
    "minor-arpeggios": by_extent({"fifth": 5, "octave": 7}),
    "two-octave-arpeggios": notes(13),
    "dominant-sevenths": notes(9),
    "diminished-sevenths": notes(9),
    # valves.toml
    "chromatic-turns": quick_runs,
    "finger-pairs": bars(3),
    "valve-trills": bars(5),
    "interval-leaps": bars(2),
    "third-slide": bars(2),
    "other-fingerings": bars(2),
    # tongue.toml
    "single-tongue": lambda given, _: with_rest(given["passes"] * beats(4 * given["bars"], given), 1),
    "tongue-tempo": at_tempi(2),
    "ka-alone": bars(2),
    "double-tongue": bars(3),
    "triple-tongue": bars(3),
    "tongued-scales": tongued_scale,
    "running-tongue": running_tongue,
    "articulations": one_articulation,
    "tongue-and-valves": bars(3),
    "accents": bars(2),
    "dynamic-steps": bars(2),
    # strength.toml
    "range-building": bars(2, rest=2),
    "above-high-c": bars(2, rest=3),
    "soft-high-notes": held(rest=2),
    "octave-leaps": bars(2),
    "endurance": lambda given, _: Fraction(2 * 60 * given["minutes_on"]),
    "cold-entries": lambda given, _: given["passes"] * beats(4 * given["silence"] + 4, given),
    "lead-endings": bars(2, rest=2),
    # music.toml
    "orchestral-calls": calls,
    "muted-passage": chosen_bars("beats_per_bar"),
    "mute-changes": lambda given, _: given["passes"] * beats(2 * given["beats"], given),
    "hymn-phrases": lambda given, _: with_rest(given["passes"] * beats(16 * given["phrases"], given), 1),
    "transposition": transposition,
    "mixed-parts": mixed_parts,
    "transposed-scale-steps": lambda given, _: given["passes"] * (beats(15, given) + 2),
    "concert-pitch": lambda given, _: Fraction(10 * given["passes"]),
    "valves-by-heart": bars(1, rest=0),
    "sing-then-play": lambda given, _: given["passes"] * (beats(16, given) + 4),
    "drone": bars(4, rest=0),
    "hear-the-harmonic": bars(3, rest=0),
    "rhythm-on-one-note": bars(4),
    "after-beats": at_tempi(4),
    "counted-rests": lambda given, rests: given["passes"] * (beats(4 * (rests + 1), given) + 2),
    "question-and-answer": bars(8),
    "twelve-bar-riffs": bars(12),
    "chord-spelling": bars(3),
}
