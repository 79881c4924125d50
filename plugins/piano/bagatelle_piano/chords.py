"""Arpeggios and broken chords."""

from functools import cache
from typing import Final, Literal

from bagatelle.contract import Material, Message, Unit, Value

from bagatelle_piano.fingerings import Fingering, fingering, fingers_of_hands, fingers_of_run, hand
from bagatelle_piano.keys import Mode, in_circle_order, key_id, key_label
from bagatelle_piano.manner import Settings, manner, note_timing
from bagatelle_piano.pitches import MIDDLE_OCTAVE, Note, climb, is_black, joined, spelling_id, spelling_name
from bagatelle_piano.reach import reach_of_run

ArpeggioChord = Literal["major", "minor", "dominant-seventh", "diminished-seventh"]

CHORD_MODES: Final[dict[ArpeggioChord, Mode]] = {
    "major": "major",
    "minor": "minor",
    "dominant-seventh": "major",
    "diminished-seventh": "minor",
}
ARPEGGIO_CHORDS: Final[dict[ArpeggioChord, tuple[int, ...]]] = {
    "major": (0, 4, 1),
    "minor": (0, -3, 1),
    "dominant-seventh": (1, 5, 2, -1),
    "diminished-seventh": (5, 2, -1, -4),
}
"""Chord notes as steps on the line of fifths above the tonic of the key, root first.

The dominant seventh stands on the fifth degree of a major key, the diminished seventh on the leading note of
a minor key, so that both are spelt as that key spells them.
"""

POSITIONS: Final = ("root", "first-inversion", "second-inversion", "third-inversion")
_WHITE_SEVENTH: Final = Fingering(right=hand("1 1234 5"), left=hand("5 1432 1"))
_BROKEN_FINGERS: Final = ("135 125 135", "531 531 521")


@cache
def chord_notes(fifths: int, chord: ArpeggioChord, position: str) -> tuple[int, ...]:
    """Spellings of a chord in a key, the lowest note of the position first.

    :raises ValueError: for the third inversion of a triad.
    """
    spellings = [fifths + step for step in ARPEGGIO_CHORDS[chord]]
    turn = POSITIONS.index(position)
    if turn >= len(spellings):
        raise ValueError(
            f"A {chord} chord has three notes and no third inversion. "
            f"Accepted positions are {', '.join(POSITIONS[: len(spellings)])}."
        )
    return tuple(spellings[turn:] + spellings[:turn])


@cache
def arpeggio_notes(spellings: tuple[int, ...], octave: int, octaves: int) -> tuple[Note, ...]:
    """Run through a chord up and down, the top note once: `2 * chord notes * octaves + 1` notes."""
    up = climb(spellings, octave, len(spellings) * octaves)
    return up + up[-2::-1]


def arpeggios(settings: Settings) -> Material:
    """One unit a key and position.

    A major arpeggio in root position has the key's id (`C`), others add their chord and position
    (`A-minor`, `C-dominant-seventh-first-inversion`).
    """
    chord: ArpeggioChord = settings["chord"]
    units = tuple(
        _arpeggio_unit(fifths, chord, position, settings)
        for fifths in in_circle_order(settings["keys"], CHORD_MODES[chord])
        for position in POSITIONS
        if position in settings["positions"]
    )
    return Material(units=units, parameters=manner(settings) | _named(chord))


def _named(chord: ArpeggioChord) -> dict[str, Value]:
    kind = f"piano.chord-kind.{chord}"
    return {"chord": Message(kind, {"count": 1}), "chords": Message(kind, {"count": 2})}


def _arpeggio_unit(fifths: int, chord: ArpeggioChord, position: str, settings: Settings) -> Unit:
    spellings, octaves = chord_notes(fifths, chord, position), int(settings["octaves"])
    notes = arpeggio_notes(spellings, MIDDLE_OCTAVE, octaves)
    reach = reach_of_run(settings, spelling_name(spellings[0]), notes)
    parts = [spelling_id(fifths), *[part for part in (chord, position) if part not in {"major", "root"}]]
    fingers = fingers_of_run(arpeggio_fingering(spellings, chord, position), settings["hands"], octaves)
    return Unit(
        id="-".join(parts),
        label=_arpeggio_label(fifths, chord, position),
        timing=note_timing(settings, len(notes)),
        detail=_notes_and_fingers(spellings, fingers),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def _notes_and_fingers(spellings: tuple[int, ...], fingers: Message | None) -> Message:
    notes = joined(spellings)
    if fingers is None:
        return notes
    return Message("piano.chord-notes-and-fingers", {"notes": notes, "fingers": fingers})


def _arpeggio_label(fifths: int, chord: ArpeggioChord, position: str) -> Message:
    key = key_label(fifths, CHORD_MODES[chord])
    if position == "root":
        return key
    return Message("piano.in-position", {"key": key, "position": Message(f"piano.position.{position}")})


def arpeggio_fingering(spellings: tuple[int, ...], chord: str, position: str) -> Fingering | None:
    """Fingering where one is settled: triads in root position, sevenths that start on a white key."""
    if position != "root":
        return None
    if chord in {"major", "minor"}:
        return fingering(f"{chord} triad", spelling_name(spellings[0]))
    return None if is_black(spellings[0]) else _WHITE_SEVENTH


@cache
def broken_chord_notes(triad: tuple[int, ...], octave: int, octaves: int) -> tuple[Note, ...]:
    """Three notes of a triad from each of its notes up (`C E G, E G C, ...`), then from the top down.

    The highest group is played once, so there are `6 * octaves + 1` groups.
    """
    line = climb(triad, octave, 3 * octaves + 2)
    rising = [line[start : start + 3] for start in range(3 * octaves + 1)]
    falling = [group[::-1] for group in rising[-2::-1]]
    return tuple(note for group in (*rising, *falling) for note in group)


def broken_chords(settings: Settings) -> Material:
    """One unit a key (`C`, `A-minor`)."""
    mode: Mode = settings["mode"]
    units = tuple(
        _broken_chord_unit(fifths, mode, settings) for fifths in in_circle_order(settings["keys"], mode)
    )
    return Material(units=units, parameters=manner(settings))


def _broken_chord_unit(fifths: int, mode: Mode, settings: Settings) -> Unit:
    triad, octaves = chord_notes(fifths, mode, "root"), int(settings["octaves"])
    notes = broken_chord_notes(triad, MIDDLE_OCTAVE, octaves)
    reach = reach_of_run(settings, spelling_name(fifths), notes)
    return Unit(
        id=key_id(fifths, mode),
        label=key_label(fifths, mode),
        timing=note_timing(settings, len(notes)),
        detail=fingers_of_hands(*_BROKEN_FINGERS, settings["hands"]),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )
