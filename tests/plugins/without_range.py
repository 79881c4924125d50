"""The exercises on instruments with a range whose units name no lowest and highest pitch, by the reason."""

from collections.abc import Mapping
from typing import Final


def _of(instrument: str, *names: str) -> frozenset[str]:
    return frozenset(f"{instrument}.{name}" for name in " ".join(names).split())


OWN_MUSIC: Final = (
    _of("guitar", "passage run-through slow-bars step-up from-memory recording performance off-beat-click")
    | _of("guitar", "voices-of-a-piece right-hand-of-a-piece song-accompaniment openings")
    | _of("piano", "passage run-through slow-bars step-up from-memory recording performance off-beat-click")
    | _of(
        "piano", "chorale ensemble-cues from-the-end hands-separate harmonise-melody lead-sheet quick-study"
    )
    | _of("piano", "sing-one-voice sparse-click start-anywhere transposing una-corda voice-pairs")
    | _of("trumpet", "passage run-through slow-bars step-up from-memory recording performance off-beat-click")
    | _of(
        "trumpet",
        "soft-melody endurance orchestral-calls muted-passage hymn-phrases transposition mixed-parts",
    )
    | _of("violin", "passage run-through slow-bars step-up from-memory recording performance off-beat-click")
    | _of("violin", "melody-on-one-string orchestral-excerpt cold-openings")
    | _of("voice", "passage slow-bars swelling-check marking entries line-in-layers recitative song-through")
    | _of("voice", "record-and-mark as-on-stage first-note bar-aloud-bar-within own-round inner-part")
    | _of("voice", "varied-repeat cadenzas")
)
AT_SIGHT: Final = (
    _of("guitar", "sight-reading first-position-reading position-reading chart-reading two-voice-reading")
    | _of("piano", "sight-reading orchestral-reduction outline-reading score-reading transposing-parts")
    | _of("trumpet", "sight-reading")
    | _of("violin", "sight-reading reading-in-position reading-a-part")
    | _of("voice", "sight-singing")
)
BY_EAR: Final = (
    _of("guitar", "by-ear bass-by-ear figure-moved")
    | _of("piano", "by-ear bass-by-ear")
    | _of("trumpet", "by-ear")
    | _of("violin", "by-ear")
    | _of("voice", "call-and-response thirds-above")
)
MADE_UP: Final = (
    _of("guitar", "one-idea blues two-five-one-lines drone")
    | _of("piano", "one-idea ground-improvisation mode-improvisation modulating-prelude twelve-bar-blues")
    | _of("trumpet", "one-idea twelve-bar-riffs")
    | _of("violin", "one-idea over-a-drone shuffle")
)
NOTHING_SOUNDS_AT_A_PITCH: Final = (
    _of("guitar", "warm-up loosening rhythm-away rasgueado muted-subdivision spelling-keys capo-keys")
    | _of("guitar", "left-hand-of-a-piece")
    | _of("piano", "loosening rhythm-away fingering-on-the-lid key-signatures mental-practice tapping-hands")
    | _of(
        "trumpet", "rhythm-away breathing air-patterns concert-pitch transposed-scale-steps valves-by-heart"
    )
    | _of("trumpet", "counted-rests mute-changes")
    | _of("violin", "rhythm-away loosening bow-hand holding finger-taps fingerboard-map marking-a-part")
    | _of(
        "voice", "rhythm-away loosening standing silent-breath equal-counts hiss breath-pulses text-in-rhythm"
    )
    | _of(
        "voice",
        "text-aloud word-for-word score-marks map-of-a-song questions words-from-memory cues silent-run",
    )
)
WHERE_THE_PLAYER_LIKES: Final = (
    _of("guitar", "planted-strokes sung-intervals")
    | _of("piano", "arm-weight chord-colours cross-rhythm interval-singing keys-by-feel")
    | _of("trumpet", "first-minutes mouthpiece-glides mouthpiece-tune lead-pipe")
    | _of(
        "violin",
        "sounding-points swells first-vibrato vibrato-pulses vibrato-widths sautille slurred-staccato",
    )
    | _of("violin", "ricochet tremolo trills difference-tones offbeats")
    | _of("voice", "easy-glides straw spoken-to-sung cool-down range-up range-down")
)
CHORDS_WHERE_THE_PLAYER_LIKES: Final = (
    _of("guitar", "chords-of-a-key find-a-note guide-tones")
    | _of("piano", "accompaniments cadence cadences-by-ear chords-of-a-key figured-bass progressions")
    | _of("piano", "seventh-inversions syncopated-pedal")
)
BEYOND_THE_NECK: Final = _of("guitar", "natural-harmonics")
WITHOUT_RANGE: Final[Mapping[str, frozenset[str]]] = {
    "music of the learner's own, of which the catalogue knows no note": OWN_MUSIC,
    "music never seen before": AT_SIGHT,
    "notes found by ear": BY_EAR,
    "notes made up": MADE_UP,
    "nothing sounds at a pitch: away from the instrument, said, tapped, breathed, damped": (
        NOTHING_SOUNDS_AT_A_PITCH
    ),
    "a note that the player takes where it is easy": WHERE_THE_PLAYER_LIKES,
    "notes and chords told by name, in whatever octave they lie well": CHORDS_WHERE_THE_PLAYER_LIKES,
    "harmonics, which sound above the highest fret": BEYOND_THE_NECK,
}
WITHOUT_PITCHES: Final[Mapping[str, str]] = {
    "snare-drum": "a drum has no pitch",
    "musicianship": "for every instrument and voice, each in its own octave",
}
"""Instruments that have no range at all, by the reason."""
