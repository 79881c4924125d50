"""Chords: arpeggios, broken chords, cadences."""

from collections.abc import Sequence
from typing import Final, Literal

from bagatelle.contract import Material, Message, Unit, Value

from bagatelle_piano.fingerings import Fingering, fingering, fingers_shown, run
from bagatelle_piano.keys import Mode, in_circle_order, key_id, key_label
from bagatelle_piano.manner import Settings, manner, note_timing
from bagatelle_piano.pitches import Note, climb, is_black, spelling_id, spelling_name, spelt
from bagatelle_piano.scales import check_keyboard

ArpeggioChord = Literal["major", "minor", "dominant-seventh", "diminished-seventh"]
Cadence = Literal["perfect", "plagal", "imperfect", "interrupted"]

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
CADENCES: Final[tuple[Cadence, ...]] = ("perfect", "plagal", "imperfect", "interrupted")

_TRIADS: Final[dict[Mode, dict[str, tuple[int, int, int]]]] = {
    "major": {"I": (0, 4, 1), "IV": (-1, 3, 0), "V": (1, 5, 2), "VI": (3, 0, 4)},
    "minor": {"I": (0, -3, 1), "IV": (-1, -4, 0), "V": (1, 5, 2), "VI": (-4, 0, -3)},
}
_CADENCE_CHORDS: Final[dict[Cadence, tuple[str, str]]] = {
    "perfect": ("V", "I"),
    "plagal": ("IV", "I"),
    "imperfect": ("I", "V"),
    "interrupted": ("V", "VI"),
}
_WHITE_SEVENTH: Final = Fingering(right="1 1234 5", left="5 1432 1")
_BROKEN_FINGERS: Final = Fingering(right="135 125 135", left="531 531 521")


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


def arpeggio_notes(spellings: Sequence[int], octave: int, octaves: int) -> tuple[Note, ...]:
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
    check_keyboard(
        settings, spelling_name(spellings[0]), lambda octave: arpeggio_notes(spellings, octave, octaves)
    )
    parts = [spelling_id(fifths), *[part for part in (chord, position) if part not in {"major", "root"}]]
    return Unit(
        id="-".join(parts),
        label=_arpeggio_label(fifths, chord, position),
        timing=note_timing(settings, len(arpeggio_notes(spellings, 4, octaves))),
        detail=_notes_and_fingers(
            spellings,
            fingers_shown(arpeggio_fingering(spellings, chord, position, octaves), settings["hands"]),
        ),
    )


def _notes_and_fingers(spellings: Sequence[int], fingers: Message | None) -> Message:
    notes = tuple(spelt(each) for each in spellings)
    if fingers is None:
        return Message("piano.chord-notes", {"notes": notes})
    return Message("piano.chord-notes-and-fingers", {"notes": notes, "fingers": fingers})


def _arpeggio_label(fifths: int, chord: ArpeggioChord, position: str) -> Message:
    key = key_label(fifths, CHORD_MODES[chord])
    if position == "root":
        return key
    return Message("piano.in-position", {"key": key, "position": Message(f"piano.position.{position}")})


def arpeggio_fingering(spellings: Sequence[int], chord: str, position: str, octaves: int) -> Fingering | None:
    """Fingering where one is settled: triads in root position, sevenths that start on a white key."""
    if position != "root":
        return None
    if chord in {"major", "minor"}:
        return fingering(f"{chord} triad", spelling_name(spellings[0]), octaves)
    if is_black(spellings[0]):
        return None
    return Fingering(run(_WHITE_SEVENTH.right, octaves), run(_WHITE_SEVENTH.left, octaves))


def broken_chord_notes(triad: Sequence[int], octave: int, octaves: int) -> tuple[Note, ...]:
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
    check_keyboard(settings, spelling_name(fifths), lambda octave: broken_chord_notes(triad, octave, octaves))
    return Unit(
        id=key_id(fifths, mode),
        label=key_label(fifths, mode),
        timing=note_timing(settings, len(broken_chord_notes(triad, 4, octaves))),
        detail=fingers_shown(_BROKEN_FINGERS, settings["hands"], way="through"),
    )


def cadence_chords(fifths: int, mode: Mode, cadence: Cadence) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Spell the two triads of a cadence, root first. The dominant of a minor key is major."""
    first, second = _CADENCE_CHORDS[cadence]
    triads = _TRIADS[mode]
    return tuple(fifths + step for step in triads[first]), tuple(fifths + step for step in triads[second])


def cadences(settings: Settings) -> Material:
    """One unit a key (`C`, `A-minor`); it holds every cadence asked for, its chords spelt."""
    mode: Mode = settings["mode"]
    units = tuple(_cadence_unit(fifths, mode, settings) for fifths in in_circle_order(settings["keys"], mode))
    named = tuple(Message(f"piano.cadence-kind.{each}") for each in _chosen(settings))
    beats = int(settings["beats_per_chord"])
    lengths = Message(f"piano.chord-length.{beats}", {"bpm": int(settings["bpm"])})
    return Material(units=units, parameters=manner(settings) | {"cadences": named, "lengths": lengths})


def _chosen(settings: Settings) -> tuple[Cadence, ...]:
    return tuple(each for each in CADENCES if each in settings["cadences"])


def _cadence_unit(fifths: int, mode: Mode, settings: Settings) -> Unit:
    chosen = _chosen(settings)
    spelt_out = tuple(_cadence_spelt(fifths, mode, each) for each in chosen)
    return Unit(
        id=key_id(fifths, mode),
        label=key_label(fifths, mode),
        timing=note_timing(settings, 2 * len(chosen), notes_per_beat=1 / settings["beats_per_chord"]),
        detail=Message("piano.cadences-spelt", {"cadences": spelt_out}),
    )


def _cadence_spelt(fifths: int, mode: Mode, cadence: Cadence) -> Message:
    first, second = cadence_chords(fifths, mode, cadence)
    return Message(
        "piano.cadence-spelt",
        {
            "cadence": Message(f"piano.cadence-kind.{cadence}"),
            "first": _triad_spelt(first),
            "second": _triad_spelt(second),
        },
    )


def _triad_spelt(triad: Sequence[int]) -> Message:
    return Message(
        "piano.triad-spelt", {"root": spelt(triad[0]), "third": spelt(triad[1]), "fifth": spelt(triad[2])}
    )
