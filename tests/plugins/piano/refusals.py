"""Which settings, valid one by one, do not go together; worked out without the plugin's own checks."""

from collections.abc import Mapping
from typing import Any

from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral

from tests.plugins.piano.formulas import whole_seconds
from tests.plugins.piano.keys_of_music21 import MAJOR_KEYS, MINOR_KEYS, for_music21

Settings = Mapping[str, Any]
# The compass of a piano of 88 keys, in MIDI numbers: A0 to C8 (music21 gives the same for its Piano).
A0, C8 = 21, 108
LONGEST_SECONDS = {"piano.octaves": 300}
MODE_OF_CHORD = {
    "major": "major",
    "minor": "minor",
    "dominant-seventh": "major",
    "diminished-seventh": "minor",
}
FIGURES = {"major": "I", "minor": "i", "dominant-seventh": "V7", "diminished-seventh": "viio7"}
POSITIONS = ("root", "first-inversion", "second-inversion", "third-inversion")


def must_be_refused(exercise: str, settings: Settings) -> bool:
    return (
        _has_stranger_key(exercise, settings)
        or _has_impossible_position(settings)
        or _has_passage_twice(settings)
        or _is_too_long(exercise, settings)
        or _leaves_keyboard(exercise, settings)
    )


def _mode(exercise: str, settings: Settings) -> str:
    if exercise in {"piano.minor-scale", "piano.ground-improvisation"}:
        return "minor"
    return MODE_OF_CHORD[settings.get("chord", settings.get("mode", "major"))]


def _has_stranger_key(exercise: str, settings: Settings) -> bool:
    keys = MAJOR_KEYS if _mode(exercise, settings) == "major" else MINOR_KEYS
    return not set(settings.get("keys", ())) <= set(keys)


def _has_impossible_position(settings: Settings) -> bool:
    return "third-inversion" in settings.get("positions", ()) and settings["chord"] in {"major", "minor"}


def _has_passage_twice(settings: Settings) -> bool:
    ids = [each["id"] for each in settings.get("passages", ())]
    return len(ids) != len(set(ids))


def _is_too_long(exercise: str, settings: Settings) -> bool:
    units = [each["id"] for each in settings.get("passages", ({"id": "any"},))]
    longest = LONGEST_SECONDS.get(exercise, 600)
    return any(whole_seconds(exercise, settings, unit) > longest for unit in units)


def _leaves_keyboard(exercise: str, settings: Settings) -> bool:
    if "right_hand_octave" not in settings:
        return False
    octave = settings["right_hand_octave"] or (4 if settings["octaves"] <= 2 else 3)
    hands = {"right": [octave], "left": [octave - 1]}.get(settings["hands"], [octave, octave - 1])
    # A scale in octaves is played an octave higher too; the last broken chord ends a fifth above the top.
    above = {"piano.octaves": 12, "piano.broken-chord": 7}.get(exercise, 0)
    for name in _lowest_notes(exercise, settings):
        for each in hands:
            lowest = Pitch(f"{name}{each}").midi
            if lowest < A0 or lowest + 12 * settings["octaves"] + above > C8:
                return True
    return False


def _lowest_notes(exercise: str, settings: Settings) -> list[str]:
    names = [for_music21(name) for name in settings.get("keys", settings.get("starting_notes", ()))]
    if exercise != "piano.arpeggio":
        return names
    mode, figure = MODE_OF_CHORD[settings["chord"]], FIGURES[settings["chord"]]
    chords = [RomanNumeral(figure, Key(name, mode)).pitches for name in names]
    return [chord[POSITIONS.index(position)].name for chord in chords for position in settings["positions"]]
