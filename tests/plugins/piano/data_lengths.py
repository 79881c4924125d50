"""How long a unit of each exercise of the data files must be, worked out from what its texts say.

Note counts are the usual convention, the top note once: n octaves up and down are 14n + 1 notes. A note holds its
slot, the last one too: seconds = beats of one pass * 60 / beats a minute * passes, and a pause for each pass.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

Settings = Mapping[str, Any]
Pass = Callable[[Settings, Any], Fraction | int]

HANDS = 2
IN_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4}
BEATS_OF_A_BAR = 4


def up_and_down(octaves: int, notes_per_beat: int) -> Fraction:
    return Fraction(14 * octaves + 1, notes_per_beat)


def bars(count: int) -> int:
    return BEATS_OF_A_BAR * count


# The most octaves of an unequal scale, and its notes to the beat: three in triplets, four in semiquavers.
UNEQUAL = {"three-two": (3, 3), "two-three": (3, 3), "four-three": (4, 4), "three-four": (4, 4)}
PROGRESSIONS = {"primary": 4, "turnaround": 4, "circle": 4, "two-five-one": 3}
THUMB = {"three": 4 + 3, "four": 5 + 4}

# Beats of one pass. `each` is the value that makes the unit: a number, or the name of a choice.
BEATS: Mapping[str, Pass] = {
    "arm-weight": lambda s, _: HANDS * s["drops"] * (2 + 2),
    "legato-overlap": lambda _s, _: HANDS * (5 + 4),
    "balance-of-hands": lambda s, _: up_and_down(IN_WORDS[s["octaves"]], 2),
    "chord-voicing": lambda _s, _: HANDS * 8 * 2,
    "four-note-voicing": lambda _s, _: HANDS * 8 * (2 + 2),
    "syncopated-pedal": lambda s, _: bars(s["bars"]),
    "half-pedal": lambda _s, _: up_and_down(2, 2),
    "una-corda": lambda s, _: bars(s["bars"]),
    "dynamic-scales": lambda _s, _: up_and_down(2, 2),
    "touches": lambda s, _: up_and_down(IN_WORDS[s["octaves"]], 2),
    "thumb-passage": lambda _s, each: THUMB[each.rpartition("-")[2]],
    "leaps": lambda s, _: HANDS * bars(s["leaps"]),
    # As many by eye as blind, a bar each.
    "blind-leaps": lambda s, _: HANDS * 2 * bars(s["leaps"]),
    "hand-crossings": lambda _s, _: 2 * 4,
    "rotation": lambda _s, _: Fraction(HANDS * 16, 2),
    "broken-octaves": lambda _s, _: Fraction(HANDS * 2 * (14 + 1), 4),
    "double-sixths": lambda _s, _: HANDS * up_and_down(1, 2),
    "scales-apart": lambda s, _: up_and_down(IN_WORDS[s["octaves"]], 2),
    "unequal-scales": lambda _s, each: up_and_down(*UNEQUAL[each]),
    "accented-scales": lambda _s, _: up_and_down(2, 2),
    "repeated-chords": lambda s, _: HANDS * s["bursts"] * (4 + 4),
    "wide-chords": lambda s, _: HANDS * bars(s["rolls"]),
    "held-fingers": lambda s, _: HANDS * s["touches"],
    "mordents-and-turns": lambda s, _: 2 * s["times"],
    "triad-inversions": lambda _s, _: HANDS * (4 + 3) * 2,
    "seventh-inversions": lambda _s, _: 4 * 2 * 2,
    "progressions": lambda s, _: bars(PROGRESSIONS[s["progression"]]),
    "figured-bass": lambda _s, _: 15 * 2,
    "harmonise-melody": lambda s, _: bars(s["bars"]),
    "lead-sheet": lambda s, _: bars(s["bars"]),
    "accompaniments": lambda _s, _: bars(4),
    "chord-colours": lambda s, _: bars(2 * s["starts"]),
    "cadences-by-ear": lambda _s, _: bars(4),
    "sing-one-voice": lambda s, _: bars(s["bars"]),
    "mode-improvisation": lambda s, _: bars(s["bars"]),
    "twelve-bar-blues": lambda _s, _: bars(12),
    "modulating-prelude": lambda s, _: bars(s["bars"]),
    "transposing": lambda s, _: bars(s["bars"]),
    "chords-of-a-key": lambda _s, _: bars(5),
    "rhythm-ladder": lambda s, _: bars(s["bars"]),
    "sparse-click": lambda s, _: bars(s["bars"]),
    "tapping-hands": lambda s, _: bars(s["bars"]),
    "keys-by-feel": lambda s, _: HANDS * bars(s["finds"]),
    "notes-on-staves": lambda s, _: 2 * s["notes_read"],
    "outline-reading": lambda s, _: bars(s["bars"]),
    "score-reading": lambda s, _: bars(s["bars"]),
    "orchestral-reduction": lambda s, _: bars(s["bars"]),
    "transposing-parts": lambda s, _: bars(s["bars"]),
    "hands-separate": lambda s, _: bars(s["bars"]),
    "voice-pairs": lambda s, _: bars(s["bars"]),
    "mental-practice": lambda s, _: bars(s["bars"]),
    "start-anywhere": lambda s, _: bars(s["bars"]),
    "from-the-end": lambda _s, each: bars(each),
    "ensemble-cues": lambda _s, _: bars(2 + 2),
}
# Seconds of a unit that has no beats.
SECONDS: Mapping[str, Pass] = {
    "loosening": lambda s, _: s["seconds_each"],
    "bass-by-ear": lambda s, _: 60 * s["minutes_in_all"],
    "fingering-on-the-lid": lambda s, _: 60 * s["minutes_in_all"],
    "quick-study": lambda s, _: 60 * s["minutes_each"],
}
# Seconds for each pass besides the notes: rests that the texts promise, or what the hand and the eye take.
PAUSES: Mapping[str, int] = {
    **dict.fromkeys(("arm-weight", "leaps", "blind-leaps", "repeated-chords", "mordents-and-turns"), 0),
    **dict.fromkeys(("chord-colours", "cadences-by-ear", "keys-by-feel", "notes-on-staves"), 0),
    **dict.fromkeys(("una-corda", "rotation", "unequal-scales", "seventh-inversions", "lead-sheet"), 3),
    **dict.fromkeys(("rhythm-ladder", "tapping-hands"), 3),
    **dict.fromkeys(("half-pedal", "sparse-click", "hands-separate", "voice-pairs", "from-the-end"), 4),
    **dict.fromkeys(("figured-bass", "harmonise-melody", "sing-one-voice", "modulating-prelude"), 5),
    **dict.fromkeys(
        ("transposing", "chords-of-a-key", "mental-practice", "ensemble-cues", "four-note-voicing"), 5
    ),
    **dict.fromkeys(("broken-octaves", "double-sixths", "held-fingers", "start-anywhere"), 10),
    "wide-chords": 15,
    "transposing-parts": 20,
    "outline-reading": 30,
    "score-reading": 30,
    "orchestral-reduction": 60,
}
USUAL_PAUSE = 2
# A pause once, however many rounds: these go round without stopping.
WITHOUT_STOPPING: Mapping[str, int] = dict.fromkeys(("progressions", "accompaniments", "twelve-bar-blues"), 5)


def seconds_of(exercise: str, settings: Settings, each: Any) -> Fraction:
    """The length of one unit, its pauses included, not yet rounded up."""
    if exercise in SECONDS:
        return Fraction(SECONDS[exercise](settings, each))
    passes = int(settings.get("passes", settings.get("rounds", 1)))
    played = passes * Fraction(BEATS[exercise](settings, each)) * 60 / int(settings["bpm"])
    if exercise in WITHOUT_STOPPING:
        return played + WITHOUT_STOPPING[exercise]
    return played + passes * PAUSES.get(exercise, USUAL_PAUSE)
