"""Cadences as they are played: the root in the left hand, three notes close together in the right."""

from functools import cache
from typing import Final, Literal, NamedTuple

from bagatelle.contract import Material, Message, Unit

from bagatelle_piano.keys import Mode, in_circle_order, key_id, key_label
from bagatelle_piano.manner import Settings, manner, note_timing
from bagatelle_piano.pitches import joined, spelt

Cadence = Literal["perfect", "plagal", "imperfect", "interrupted"]

CADENCES: Final[tuple[Cadence, ...]] = ("perfect", "plagal", "imperfect", "interrupted")

_TRIADS: Final[dict[Mode, dict[str, tuple[int, int, int]]]] = {
    "major": {"I": (0, 4, 1), "IV": (-1, 3, 0), "V": (1, 5, 2), "VI": (3, 0, 4)},
    "minor": {"I": (0, -3, 1), "IV": (-1, -4, 0), "V": (1, 5, 2), "VI": (-4, 0, -3)},
}
"""Root, third and fifth as steps on the line of fifths above the tonic. The dominant of a minor key is major."""
_CHORDS: Final[dict[Cadence, tuple[str, str]]] = {
    "perfect": ("V", "I"),
    "plagal": ("IV", "I"),
    "imperfect": ("I", "V"),
    "interrupted": ("V", "VI"),
}
_ROOT, _THIRD, _FIFTH = 0, 1, 2
_SECOND_CHORD: Final[dict[Cadence, tuple[int, ...]]] = {
    "perfect": (_FIFTH, _ROOT, _THIRD),
    "plagal": (_THIRD, _FIFTH, _ROOT),
    "imperfect": (_THIRD, _FIFTH, _ROOT),
    "interrupted": (_FIFTH, _ROOT, _THIRD),
}
"""What each note of a first chord in root position, from the lowest, moves to.

The shared note stays and the others go by the smallest step; where none is shared all go down, as the bass
steps up.
"""
_INTERRUPTED_IN_MINOR: Final = (_FIFTH, _THIRD, _THIRD)
"""The leading note rises, as it would otherwise fall by an augmented second; so the third is doubled."""


class Voicing(NamedTuple):
    """One chord of a cadence: the bass, and where each note of the right hand is, from the lowest."""

    bass: int
    right: tuple[int, ...]


@cache
def cadence_voiced(fifths: int, mode: Mode, cadence: Cadence) -> tuple[Voicing, Voicing]:
    """Spell both chords of a cadence; notes of the same place in `right` are one voice."""
    first, second = (tuple(fifths + step for step in _TRIADS[mode][chord]) for chord in _CHORDS[cadence])
    moves = _SECOND_CHORD[cadence]
    if (mode, cadence) == ("minor", "interrupted"):
        moves = _INTERRUPTED_IN_MINOR
    return Voicing(first[_ROOT], first), Voicing(second[_ROOT], tuple(second[each] for each in moves))


def cadences(settings: Settings) -> Material:
    """One unit a key (`C`, `A-minor`); it holds every cadence asked for, its chords spelt."""
    mode: Mode = settings["mode"]
    units = tuple(_cadence_unit(fifths, mode, settings) for fifths in in_circle_order(settings["keys"], mode))
    chosen = _chosen(settings)
    said = manner(settings)
    beats = int(settings["beats_per_chord"])
    said["cadences"] = tuple(Message(f"piano.cadence-kind.{each}") for each in chosen)
    said["lengths"] = Message(
        f"piano.chord-length.{beats}", {"tempo": said["tempo"], "bpm": int(settings["bpm"])}
    )
    said["leading"] = Message(f"piano.cadence-leading.{_leading(chosen, mode)}")
    return Material(units=units, parameters=said)


def _chosen(settings: Settings) -> tuple[Cadence, ...]:
    return tuple(each for each in CADENCES if each in settings["cadences"])


def _leading(chosen: tuple[Cadence, ...], mode: Mode) -> str:
    """What has to be said of the way from chord to chord."""
    if "interrupted" not in chosen:
        return "shared"
    return f"interrupted-{mode}" if chosen == ("interrupted",) else f"shared-and-interrupted-{mode}"


def _cadence_unit(fifths: int, mode: Mode, settings: Settings) -> Unit:
    chosen = _chosen(settings)
    return Unit(
        id=key_id(fifths, mode),
        label=key_label(fifths, mode),
        timing=note_timing(settings, 2 * len(chosen), notes_per_beat=1 / settings["beats_per_chord"]),
        detail=Message(
            "piano.cadences-spelt", {"cadences": tuple(_spelt(fifths, mode, each) for each in chosen)}
        ),
    )


@cache
def _spelt(fifths: int, mode: Mode, cadence: Cadence) -> Message:
    first, second = cadence_voiced(fifths, mode, cadence)
    return Message(
        "piano.cadence-spelt",
        {
            "cadence": Message(f"piano.cadence-kind.{cadence}"),
            "first": joined(first.right),
            "second": joined(tuple(dict.fromkeys(second.right))),
            "first_bass": spelt(first.bass),
            "second_bass": spelt(second.bass),
        },
    )
