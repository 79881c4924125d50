"""Time: figures in the common metres, and subdivisions against the metronome."""

from collections.abc import Mapping
from typing import Any, Final

import msgspec
from bagatelle.contract import Material, Message, Unit, Value

from bagatelle_snare_drum.durations import within_bounds
from bagatelle_snare_drum.exercises.passes import Passes
from bagatelle_snare_drum.exercises.wording import Surface, in_words, note_values, surface, tempo

BEATS_PER_BAR: Final = 4
CROTCHETS_OF_METRES: Final[Mapping[str, float]] = {
    "2/4": 2,
    "3/4": 3,
    "4/4": 4,
    "6/8": 3,
    "5/8": 2.5,
    "7/8": 3.5,
}
"""Crotchets in a bar; the quaver is equal in every metre, so an eighth-metre bar is half its figure."""
NOTES_OF_SUBDIVISIONS: Final[Mapping[str, int]] = {
    "quavers": 2,
    "triplets": 3,
    "semiquavers": 4,
    "quintuplets": 5,
    "sextuplets": 6,
}


class _Bars(Passes, frozen=True, kw_only=True):
    surface: Surface
    bpm: int
    bars: int

    def words(self) -> dict[str, Value]:
        """Return what texts say of them."""
        return {
            "surface": surface(self.surface, loud=False),
            "tempo": tempo(self.bpm),
            "amount": self.amount("bars", bars=in_words(self.bars)),
        }


class _MetreSettings(_Bars, frozen=True, kw_only=True):
    metres: tuple[str, ...]


class _SubdivisionSettings(_Bars, frozen=True, kw_only=True):
    subdivisions: tuple[str, ...]


def metre(settings: Mapping[str, Any]) -> Material:
    """One figure in each metre, counted aloud; one metre is one unit. `bpm` counts crotchets.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _MetreSettings, strict=False)
    units = tuple(
        Unit(
            id=name.replace("/", "-"),
            label=Message("snare-drum.unit.metre", {"metre": name}),
            timing=chosen.of_bars(chosen.bars, crotchets, chosen.bpm),
            detail=Message(f"snare-drum.detail.metre.{name.replace('/', '-')}"),
        )
        for name, crotchets in CROTCHETS_OF_METRES.items()
        if name in chosen.metres
    )
    return Material(
        units=within_bounds(units, "bpm, bars, passes or pause_seconds"),
        parameters={**chosen.words(), "quaver_tempo": tempo(2 * chosen.bpm, "quaver")},
    )


def subdivision(settings: Mapping[str, Any]) -> Material:
    """Bars of four beats full of one note value; one subdivision is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _SubdivisionSettings, strict=False)
    units = tuple(
        Unit(
            id=name,
            label=note_values(notes),
            timing=chosen.of_notes(chosen.bars * BEATS_PER_BAR * notes, notes, chosen.bpm),
        )
        for name, notes in NOTES_OF_SUBDIVISIONS.items()
        if name in chosen.subdivisions
    )
    return Material(
        units=within_bounds(units, "bpm, bars, passes or pause_seconds"), parameters=chosen.words()
    )
