"""From which key to which the hands reach, and that both ends are on the keyboard.

A run starts in the right hand's octave and an octave below in the left. What stays in one position of the hand has
no octave among its settings: there the right hand is in the octave of middle C, as in runs of one octave.
"""

from typing import Final

from bagatelle_piano.manner import Settings
from bagatelle_piano.pitches import HIGHEST_KEY, LOWEST_KEY, MIDDLE_OCTAVE, Note, Reach, compass

OCTAVES_TO_START_IN: Final = range(1, 7)
_HIGH_START_OCTAVES: Final = 2
_SEMITONES_AN_OCTAVE: Final = 12


def first_octave(settings: Settings) -> int:
    """Octave in which the right hand starts: as set, else middle C's, or the one below for long runs."""
    octave = settings["right_hand_octave"]
    return int(octave) if octave is not None else (4 if settings["octaves"] <= _HIGH_START_OCTAVES else 3)


def hand_octaves(settings: Settings, octave: int) -> tuple[int, ...]:
    """Octaves in which the hands that play start: the left one below the right."""
    hands = settings.get("hands", "together")
    return {"right": (octave,), "left": (octave - 1,)}.get(hands, (octave, octave - 1))


def reach_of_run(settings: Settings, name: str, notes: tuple[Note, ...]) -> Reach:
    """Lowest and highest key of a run, by the octave in which it starts; a hand must not leave the keyboard.

    :param notes: all notes of one hand, as they are when it starts in middle C's octave.
    :raises ValueError: says which starting octaves would do.
    """
    octave = first_octave(settings)
    reach = _reach_from(settings, octave, notes)
    if not _is_on_keyboard(reach):
        good = [
            start for start in OCTAVES_TO_START_IN if _is_on_keyboard(_reach_from(settings, start, notes))
        ]
        raise ValueError(
            f"{name}: starting in octave {octave}, a hand would leave the keyboard (A0 to C8). "
            f"Accepted for right_hand_octave here: {', '.join(map(str, good))}."
        )
    return reach


def reach_in_position(settings: Settings, notes: tuple[Note, ...]) -> Reach:
    """Lowest and highest key where the hands stay in one place.

    :param notes: all notes of one hand, as they are in middle C's octave.
    """
    return _reach_from(settings, MIDDLE_OCTAVE, notes)


def reach_outwards(notes: tuple[Note, ...]) -> Reach:
    """Lowest and highest key of a run of the right hand that the left mirrors from the same note."""
    lowest, highest = compass(notes)
    return Reach(lowest - (highest - lowest), highest)


def _reach_from(settings: Settings, octave: int, notes: tuple[Note, ...]) -> Reach:
    lowest, highest = compass(notes)
    shifts = [_SEMITONES_AN_OCTAVE * (start - MIDDLE_OCTAVE) for start in hand_octaves(settings, octave)]
    return Reach(lowest + min(shifts), highest + max(shifts))


def _is_on_keyboard(reach: Reach) -> bool:
    return reach.lowest >= LOWEST_KEY and reach.highest <= HIGHEST_KEY
