"""How long a unit of each exercise must be, worked out from what its texts say and the settings alone.

Note counts are the usual convention, the top note once: up and down over n octaves, s notes to the octave give
2sn + 1. A note holds its slot, the last one too: seconds = beats of one pass * 60 / beats a minute * passes, and
the pause that the texts speak of, or two to five seconds to set the hand, for each pass.
"""

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from tests.plugins.violin.loaded import choices

Settings = Mapping[str, Any]
Pass = Callable[[Settings, Any], Fraction | int]

UP_AND_DOWN_AN_OCTAVE = 2 * 7 + 1
UP_AND_DOWN_TWO_OCTAVES = 2 * 7 * 2 + 1
FOUR_FINGERS_AND_BACK = 7
OPEN_STRING_FOUR_FINGERS_AND_BACK = 9


def column(list_name: str, value: str, name: str) -> Any:
    """A column of one value of a list of choices."""
    return next(row[name] for row in choices(list_name) if row["name"] == value)


def a_beat(s: Settings) -> int:
    """Notes to the beat of the note values chosen."""
    return int(column("note-value", s["values"], "notes_per_beat"))


# Beats of one pass. `each` is the value that makes the unit: a number, or the name of a choice.
BEATS: Mapping[str, Pass] = {
    "open-strings": lambda s, _: s["bows"] * s["beats"],
    "long-bows": lambda s, _: s["bows"] * s["beats"],
    "sounding-points": lambda s, _: s["bows"] * s["beats"],
    "bow-speed": lambda s, _: s["beats"],
    "swells": lambda s, _: s["bows"] * s["beats"],
    "bow-changes": lambda s, _: 2 * s["changes"],
    "first-vibrato": lambda s, _: s["beats"],
    "vibrato-pulses": lambda s, _: s["beats"],
    "vibrato-widths": lambda _s, _: 8 + 8,
    "unbroken-vibrato": lambda s, _: FOUR_FINGERS_AND_BACK * s["beats"],
    "melody-on-one-string": lambda s, _: s["bars"] * s["beats_per_bar"],
    # As many bars of rest as are played.
    "soft-entries": lambda s, _: 4 * (s["bars"] + s["bars"]),
    "bow-division": lambda s, _: 4 * s["bars"],
    "detache": lambda s, _: Fraction(UP_AND_DOWN_AN_OCTAVE * s["repeats"], 2),
    "legato-slurs": lambda _s, _: Fraction(UP_AND_DOWN_TWO_OCTAVES, 2),
    "string-crossings": lambda s, _: 4 * s["bars"],
    "bariolage": lambda s, _: s["figures"],
    "martele": lambda s, _: UP_AND_DOWN_AN_OCTAVE * s["repeats"],
    "colle": lambda s, _: s["strokes"],
    "hooked-bowing": lambda s, _: UP_AND_DOWN_AN_OCTAVE * s["repeats"],
    "spiccato": lambda _s, each: Fraction(UP_AND_DOWN_AN_OCTAVE * each, 2),
    "sautille": lambda s, _: s["bursts"] * (4 + 8),
    "slurred-staccato": lambda s, each: s["bows"] * 2 * Fraction(each, 2),
    # A down bow as long as each of the eight groups of semiquavers: 2 * 8 * n notes of a quarter of a beat.
    "flying-staccato": lambda _s, each: Fraction(2 * 8 * each, 4),
    "ricochet": lambda s, _: 2 * s["throws"],
    "tremolo": lambda s, _: 4 * s["bars"],
    "scale-in-strokes": lambda _s, _: Fraction(UP_AND_DOWN_TWO_OCTAVES, 2),
    "finger-taps": lambda s, _: Fraction(s["taps"], 2),
    "finger-patterns": lambda _s, _: OPEN_STRING_FOUR_FINGERS_AND_BACK,
    "extensions": lambda _s, _: 2 * 4,
    "trills": lambda _s, _: 4 + 4 + 4,
    "ornaments": lambda _s, _: 2 * UP_AND_DOWN_AN_OCTAVE,
    "notes-in-position": lambda _s, _: 2 * FOUR_FINGERS_AND_BACK,
    "shifts": lambda _s, _: 4 * 2 * 2,
    "shifts-to-another-finger": lambda _s, _: 2 * (3 + 3 + 2),
    "one-finger-scales": lambda _s, _: UP_AND_DOWN_AN_OCTAVE,
    "natural-harmonics": lambda s, _: 3 * s["beats"],
    "stopped-harmonics": lambda _s, _: 2 * FOUR_FINGERS_AND_BACK,
    "harmonic-scales": lambda _s, _: UP_AND_DOWN_AN_OCTAVE,
    "pizzicato": lambda s, _: UP_AND_DOWN_AN_OCTAVE * s["repeats"],
    "left-hand-pizzicato": lambda _s, _: 4 + 4,
    "first-scales": lambda s, _: Fraction(UP_AND_DOWN_AN_OCTAVE, a_beat(s)),
    "major-scales": lambda s, _: Fraction(2 * 7 * s["octaves"] + 1, a_beat(s)),
    "minor-scales": lambda s, _: Fraction(2 * 7 * s["octaves"] + 1, a_beat(s)),
    "chromatic-scales": lambda s, _: Fraction(2 * 12 * s["octaves"] + 1, a_beat(s)),
    "arpeggios": lambda s, _: Fraction(2 * 3 * s["octaves"] + 1, a_beat(s)),
    "seventh-arpeggios": lambda s, _: Fraction(2 * 4 * s["octaves"] + 1, a_beat(s)),
    "broken-thirds": lambda s, _: Fraction(7 * 2 + 6 * 2, a_beat(s)),
    "doubling-scale": lambda _s, each: Fraction(2 * 7 * 3 + 1, each),
    "scales-in-position": lambda s, _: Fraction(UP_AND_DOWN_TWO_OCTAVES, a_beat(s)),
    "scales-on-one-string": lambda s, _: Fraction(UP_AND_DOWN_AN_OCTAVE, a_beat(s)),
    "four-octave-scales": lambda s, _: Fraction(2 * 7 * 4 + 1, a_beat(s)),
    "stops-with-open-string": lambda s, _: 2 * s["beats"],
    "thirds": lambda _s, _: 2 * UP_AND_DOWN_AN_OCTAVE,
    "sixths": lambda _s, _: 2 * UP_AND_DOWN_AN_OCTAVE,
    "octaves": lambda _s, _: 2 * UP_AND_DOWN_AN_OCTAVE,
    "fingered-octaves": lambda _s, _: 2 * (5 + 4),
    "tenths": lambda _s, _: 2 * (5 + 4),
    "three-note-chords": lambda s, _: 4 * s["times"],
    "four-note-chords": lambda s, _: 4 * s["times"],
    "ringing-notes": lambda s, _: s["beats"],
    "drone-scale": lambda s, _: UP_AND_DOWN_AN_OCTAVE * s["beats"],
    "sing-then-play": lambda _s, _: 4 * 4,
    "difference-tones": lambda s, _: 4 * s["bows"],
    "note-values": lambda s, _: 4 * s["bars"],
    "moving-accents": lambda _s, _: UP_AND_DOWN_AN_OCTAVE,
    "offbeats": lambda s, _: 4 * s["bars"],
    "reading-in-position": lambda s, _: s["bars"] * s["beats_per_bar"],
    "reading-a-part": lambda s, _: s["bars"] * s["beats_per_bar"],
    "cadence-in-broken-chords": lambda _s, _: 4 * 4,
    "over-a-drone": lambda s, _: 4 * s["bars"],
    "shuffle": lambda s, _: 4 * s["bars"],
    "orchestral-excerpt": lambda s, _: s["bars"] * s["beats_per_bar"],
    "cold-openings": lambda s, _: 4 * s["bars"],
    "fingerboard-map": lambda _s, _: 2 * FOUR_FINGERS_AND_BACK,
}
# Seconds of a unit that has no beats.
SECONDS: Mapping[str, Pass] = {
    "loosening": lambda s, _: s["seconds_each"],
    "bow-hand": lambda s, _: 4 * s["times"],
    "holding": lambda s, _: 8 * s["times"],
    "sustained-bows": lambda s, each: s["bows"] * each,
    "tuning": lambda s, _: s["seconds_each"],
    "marking-a-part": lambda s, _: 60 * s["minutes_each"],
}
# Seconds for each pass, besides the notes: rests that the texts promise, then what setting the hand takes.
PAUSES: Mapping[str, int] = {
    "extensions": 5,
    "trills": 10,
    "one-finger-scales": 10,
    "stopped-harmonics": 10,
    "harmonic-scales": 15,
    "four-octave-scales": 10,
    "flying-staccato": 10,
    "thirds": 15,
    "sixths": 15,
    "octaves": 20,
    "fingered-octaves": 20,
    "tenths": 20,
    "first-vibrato": 5,
    "vibrato-pulses": 5,
    "vibrato-widths": 5,
    "bariolage": 5,
    "ricochet": 5,
    "shifts": 4,
    "shifts-to-another-finger": 4,
    "bow-speed": 3,
    "bow-changes": 3,
    "melody-on-one-string": 3,
    "colle": 3,
    "finger-taps": 3,
    "drone-scale": 3,
    "orchestral-excerpt": 3,
    "fingerboard-map": 3,
    "natural-harmonics": 1,
    "reading-in-position": 30,
    "reading-a-part": 20,
} | dict.fromkeys(
    (
        *("open-strings", "sounding-points", "swells", "sautille", "slurred-staccato", "tremolo"),
        *("left-hand-pizzicato", "three-note-chords", "four-note-chords", "ringing-notes", "sing-then-play"),
        *("difference-tones", "over-a-drone", "shuffle", "soft-entries"),
    ),
    0,
)
USUAL_PAUSE = 2
RESTS_AS_LONG_AS_IT_PLAYS = {"tremolo"}
BY_TEMPO = {"sautille", "shuffle"}
"""Each unit has the tempo that it is called by."""


def seconds_of(exercise: str, settings: Settings, each: Any) -> Fraction:
    """The length of one unit, its pauses included, not yet rounded up."""
    if exercise in SECONDS:
        return Fraction(SECONDS[exercise](settings, each))
    bpm = int(each if exercise in BY_TEMPO else settings["bpm"])
    passes = int(settings.get("passes", settings.get("rounds", 1)))
    pause = int(settings["silence"]) if exercise == "cold-openings" else PAUSES.get(exercise, USUAL_PAUSE)
    played = passes * Fraction(BEATS[exercise](settings, each)) * 60 / bpm
    if exercise in RESTS_AS_LONG_AS_IT_PLAYS:
        return played + math.ceil(played)
    return played + passes * pause
