"""How long each exercise lasts, worked out from what is played and not from the catalogue's expressions.

notes * 60 / (bpm * notes to the beat) and bars * beats * 60 / bpm, each note holding one slot: the formulas of
the contract (`NoteTiming`, `BarTiming`). What is played comes from the exercises' own words: scales have 14 n + 1
notes in n octaves up and down with the top once, triad arpeggios 6 n + 1 (any book of scales). Rests: common
practice, no source.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from tests.plugins.guitar.frets import grip_frets
from tests.plugins.guitar.loaded import choices

Settings = Mapping[str, Any]
Length = Callable[[Settings, Any], Fraction]
"""From settings and one value of what makes the units to seconds."""

STRINGS = 6
THERE_AND_BACK = 2 * STRINGS - 1
TO_THE_BEAT = {"one": 1, "two": 2, "three": 3, "four": 4}
BEATS = {"two-four": 2, "three-four": 3, "four-four": 4, "five-four": 5, "six-eight": 2, "seven-four": 7}
WALTZES = {"waltz", "waltz-beats"}


def up_and_down(notes_an_octave: int, octaves: int) -> int:
    return 2 * notes_an_octave * octaves + 1


def notes(count: int, to_the_beat: Fraction | int, bpm: int, passes: int = 1, rest: int = 0) -> Fraction:
    """So many notes, so often, with a rest after each time."""
    return passes * (Fraction(count * 60) / (bpm * to_the_beat) + rest)


def bars(count: int, beats: int, bpm: int, passes: int = 1, rest: int = 0) -> Fraction:
    return passes * (Fraction(count * beats * 60, bpm) + rest)


def noted(count: int, to_the_beat: Fraction | int = 1, rest: int = 0) -> Length:
    """Notes that no setting changes, at its bpm and passes."""
    return lambda s, _: notes(count, to_the_beat, s["bpm"], s.get("passes") or s["rounds"], rest)


def barred(count: int, beats: int = 4, rest: int = 0) -> Length:
    return lambda s, _: bars(count, beats, s["bpm"], s["passes"], rest)


def bars_asked_for(beats: int = 4, rest: int = 0) -> Length:
    return lambda s, _: bars(s["bars"], beats, s["bpm"], s["passes"], rest)


def plain(name: str) -> Length:
    return lambda s, _: Fraction(s[name])


def valued(count: int, rest: int) -> Length:
    """Notes in the note value that is chosen."""
    return lambda s, _: notes(count, TO_THE_BEAT[s["values"]], s["bpm"], s["passes"], rest)


def arpeggio(s: Settings, pattern: str) -> Fraction:
    count = len(pattern.split("-"))
    return notes(count * s["times"], 3 if count % 3 == 0 else 4, s["bpm"], s["passes"], 2)


def bars_of_a_piece(s: Settings, _: Any) -> Fraction:
    return bars(s["bars"], s["beats_in_a_bar"], s["bpm"], s["passes"], 3)


def sounding_strings(chord: str) -> int:
    return sum(fret is not None for fret in grip_frets(choices("open-chord")[chord]["grip"]))


def with_a_look(seconds: int) -> Length:
    return lambda s, _: bars(s["bars"], 4, s["bpm"], rest=seconds)


LENGTHS: Mapping[str, tuple[str | None, Length]] = {
    # By name: the setting that makes the units, and how long one lasts.
    "warm-up": ("parts", plain("part_seconds")),
    "loosening": (None, plain("length")),
    "finger-walk": ("frets", noted(2 * 4 * STRINGS, 2)),
    "open-string-walk": (
        "pairs",
        # Strings 1 to 5, as a rest stroke on the sixth would land nowhere.
        lambda s, _: notes((2 * 5 - 1) * s["each_string"], 2, s["bpm"], s["passes"]),
    ),
    "plectrum-warm-up": (
        "strokes",
        lambda s, _: notes(THERE_AND_BACK * s["each_string"], 2, s["bpm"], s["passes"]),
    ),
    "ringing-notes": ("strings", lambda s, _: Fraction(s["notes_each"] * s["ring"])),
    "tone-colours": ("places", noted(8, rest=2)),
    "stroke-match": ("strings", noted(4 + 4)),
    "planted-strokes": ("pairs", noted(16, rest=3)),
    "dynamics": ("shapes", noted(16, rest=2)),
    "vibrato": ("frets", noted(4, rest=3)),
    "natural-harmonics": ("frets", noted(THERE_AND_BACK)),
    "artificial-harmonics": ("strings", noted(len("1234321"), rest=2)),
    "harmonics-over-bass": ("scales", noted(up_and_down(7, 1), rest=3)),
    "chord-voicing": ("voices", noted(4 * 2, rest=2)),
    "legato": ("strings", noted(len("12343212"))),
    "melody-in-arpeggio": ("progressions", barred(4)),
    "alternation": (
        "pairs",
        lambda s, _: notes(
            4 * s["bars"] * TO_THE_BEAT[s["values"]], TO_THE_BEAT[s["values"]], s["bpm"], s["passes"], 3
        ),
    ),
    "string-crossing": ("pairs", noted(3 * len("123432"), 2)),
    "thumb": ("strokes", noted(len("6545"))),
    "open-arpeggio": ("patterns", arpeggio),
    "arpeggio": ("patterns", arpeggio),
    "arpeggio-changes": ("progressions", barred(4)),
    "tremolo": ("strings", bars_asked_for(rest=8)),
    "block-chords": ("progressions", barred(4)),
    "alternating-bass": ("chords", bars_asked_for(rest=2)),
    "steady-thumb": ("chords", bars_asked_for(rest=2)),
    "bursts": ("tempi", lambda s, tempo: notes(len("578757875"), 4, tempo, s["passes"], 8)),
    "crossing-bursts": ("runs", noted(3 * 3 + 1, 3, rest=8)),
    "rasgueado": ("groups", bars_asked_for(rest=8)),
    "stopping-basses": ("pairs", barred(4)),
    "alternate-picking": ("strokes", bars_asked_for(rest=3)),
    "plectrum-crossing": ("ways", bars_asked_for(rest=3)),
    "palm-mute": ("strings", bars_asked_for(rest=3)),
    "sweep": ("chords", noted(3 * 8)),
    "least-pressure": ("strings", noted(4 * 4)),
    "finger-orders": ("orders", noted(4 * THERE_AND_BACK, 2)),
    "held-fingers": ("fingers", noted(16, rest=5)),
    "reach": ("frets", noted(4 * STRINGS, rest=10)),
    "half-barre": ("frets", noted(len("3212"), rest=8)),
    "barre-chords": ("chords", noted(6, rest=10)),
    "barre-changes": ("chords", barred(3, rest=4)),
    "shifts": ("changes", noted(len("1414") + len("4141"), rest=2)),
    "held-bass": ("basses", barred(4)),
    "chords-placed": ("chords", noted(3 * 2)),
    "hammer-ons": ("pairs", noted(2 * 2 * STRINGS, 2, rest=6)),
    "pull-offs": ("pairs", noted(2 * 2 * STRINGS, 2, rest=6)),
    "slurred-trills": ("pairs", barred(2, rest=10)),
    "slides": ("changes", barred(2, rest=2)),
    "left-hand-alone": ("strings", noted(len("12343212"), rest=5)),
    "slur-chains": ("chains", noted(2 * 4 * THERE_AND_BACK, 4, rest=8)),
    "bends": ("bends", noted(2 + 2, rest=6)),
    "open-scales": ("scales", valued(up_and_down(7, 1), 2)),
    "major-scales": ("keys", valued(up_and_down(7, 2), 3)),
    "minor-scales": ("keys", valued(up_and_down(7, 2), 3)),
    "three-octave-scales": ("keys", valued(up_and_down(7, 3), 4)),
    "chromatic-string": ("strings", noted(up_and_down(12, 1), 2, rest=3)),
    "scale-rhythms": ("rhythms", noted(up_and_down(7, 2), 2, rest=3)),
    "key-arpeggios": ("arpeggios", noted(up_and_down(3, 2), 2, rest=3)),
    # Two notes a string up and down, the highest once; three a string.
    "pentatonic-shapes": ("shapes", noted(2 * 2 * STRINGS - 1, 2, rest=3)),
    "pentatonic-keys": ("keys", noted(2 * 2 * STRINGS - 1, 2, rest=2)),
    "modes": ("modes", noted(2 * 3 * STRINGS - 1, 3, rest=3)),
    "double-stops": ("intervals", noted(up_and_down(7, 1), rest=4)),
    "chord-changes": ("changes", barred(2)),
    "triads": ("chords", noted(2 * (2 * 3 - 1))),
    "drop-two": ("chords", noted(2 * (2 * 4 - 1), rest=4)),
    "cadences": ("keys", barred(4)),
    "guide-tones": ("keys", barred(3 + 1)),
    "chords-of-a-key": ("keys", barred(8)),
    # A pair counts once, as both its notes sound together.
    "long-double-notes": ("intervals", noted(up_and_down(7, 2), 2, rest=4)),
    "natural-notes": ("strings", noted(up_and_down(7, 1), Fraction(1, 2))),
    "find-a-note": ("notes", noted(THERE_AND_BACK, Fraction(1, 2))),
    "spelling-keys": ("keys", noted(up_and_down(7, 1) + 1, rest=3)),
    "interval-shapes": ("intervals", noted(2 * 4 * 4)),
    "capo-keys": ("capos", plain("answer_seconds")),
    "chord-tones": (
        "chords",
        lambda s, chord: notes(4 * sounding_strings(chord), 1, s["bpm"], s["passes"]),
    ),
    "strumming": (
        "patterns",
        lambda s, pattern: bars(s["bars"], 3 if pattern in WALTZES else 4, s["bpm"], s["passes"], 2),
    ),
    "strummed-changes": ("progressions", barred(4)),
    "bass-strum": ("metres", lambda s, metre: bars(s["bars"], BEATS[metre], s["bpm"], s["passes"], 2)),
    "muted-subdivision": ("values", bars_asked_for()),
    "tuning-by-ear": ("strings", plain("string_seconds")),
    "other-tunings": ("tunings", plain("tuning_seconds")),
    "sung-intervals": ("intervals", noted(2 + 4 + 2)),
    "sung-chords": ("chords", noted(4 * 2 + 8)),
    "figure-moved": ("strings", plain("string_seconds")),
    "bass-by-ear": (None, lambda s, _: Fraction(s["lines"] * s["line_seconds"])),
    "first-position-reading": (None, with_a_look(30)),
    "position-reading": ("positions", with_a_look(30)),
    "chart-reading": (None, with_a_look(30)),
    "two-voice-reading": (None, lambda s, _: bars(s["bars"], 4, s["bpm"], rest=s["look"])),
    "blues": ("keys", barred(12 + 12)),
    "two-five-one-lines": ("keys", barred(3 + 1)),
    "call-and-answer": ("shapes", barred(2 + 2)),
    "drone": (None, barred(16)),
    "one-string-solo": ("strings", barred(8)),
    "voices-of-a-piece": ("voices", bars_of_a_piece),
    "right-hand-of-a-piece": (None, bars_of_a_piece),
    "left-hand-of-a-piece": (None, bars_of_a_piece),
    "song-accompaniment": (None, plain("song_seconds")),
    "openings": (None, lambda s, _: Fraction(s["starts"] * s["start_seconds"])),
}


def expected_lengths(exercise: str, settings: Settings) -> dict[str, Fraction]:
    """Seconds by the id of each unit."""
    each, length = LENGTHS[exercise]
    if each is None:
        return {exercise: length(settings, None)}
    return {str(value): length(settings, value) for value in settings[each]}
