"""Rudiments by family, rolls by length, open-closed-open, and the paradiddle chain."""

from collections.abc import Mapping
from fractions import Fraction
from itertools import groupby
from typing import Any, Final

import msgspec
from bagatelle.contract import Material, Message, Unit
from msgspec import Struct
from msgspec.structs import replace

from bagatelle_snare_drum.durations import ladder_timing, tempo_ladder, within_bounds
from bagatelle_snare_drum.exercises.passes import Passes
from bagatelle_snare_drum.exercises.wording import (
    Surface,
    amount,
    in_words,
    note_values,
    surface,
    tempo,
    times,
)
from bagatelle_snare_drum.rudiments import Rudiment, chosen_rudiments
from bagatelle_snare_drum.sticking import both_leads, halves, in_one_piece, strokes

ROLL_NAMES: Final[Mapping[int, str]] = {
    5: "Five Stroke Roll",
    6: "Six Stroke Roll",
    7: "Seven Stroke Roll",
    9: "Nine Stroke Roll",
    10: "Ten Stroke Roll",
    11: "Eleven Stroke Roll",
    13: "Thirteen Stroke Roll",
    15: "Fifteen Stroke Roll",
    17: "Seventeen Stroke Roll",
}
CHAIN: Final = ("RLRR LRLL", "RLRLRR LRLRLL", "RLRLRLRR LRLRLRLL", "RLRRLL RLRRLL")
"""Single, double and triple paradiddle, and the paradiddle-diddle twice, which keeps its leading hand."""
CHAIN_NOTES: Final = 8 + 12 + 16 + 12


class _Steady(Passes, frozen=True, kw_only=True):
    surface: Surface
    bpm: int
    cycles: int


class _FamilySettings(_Steady, frozen=True, kw_only=True):
    rudiments: tuple[str, ...]


class _LengthSettings(_Steady, frozen=True, kw_only=True):
    lengths: tuple[int, ...]


class _LadderSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    rudiments: tuple[str, ...]
    from_bpm: int
    to_bpm: int
    step_bpm: int
    cycles: int


class _ChainSettings(Passes, frozen=True, kw_only=True):
    surface: Surface
    tempi: tuple[int, ...]
    cycles: int


def _as_shown(chosen: tuple[Rudiment, ...]) -> Message:
    """Return 'sticking as shown', with every sign explained that one of the stickings uses."""
    played = [stroke for rudiment in chosen for stroke in strokes(rudiment.sticking)]
    used = {
        "accent": any(stroke.accent for stroke in played),
        "grace": any(stroke.grace for stroke in played),
        "shared": any(stroke.shares_slot for stroke in played),
        "buzz": any(stroke.buzz for stroke in played),
        "held": any("-" in rudiment.sticking for rudiment in chosen),
        "both-hands": any(len(halves(rudiment.sticking)) == 2 for rudiment in chosen),
    }
    signs = tuple(Message(f"snare-drum.sign.{sign}") for sign, is_used in used.items() if is_used)
    if not signs:
        return Message("snare-drum.sticking.as-shown")
    return Message("snare-drum.sticking.as-shown-with-signs", {"signs": signs})


def _sticking_detail(rudiment: Rudiment, *, with_values: bool = True) -> Message:
    if not with_values:
        return Message("snare-drum.detail.sticking-alone", {"sticking": in_one_piece(rudiment.sticking)})
    # Among flams with an accent, one that has none is said to have none.
    unaccented = rudiment.family == "flam" and not any(stroke.accent for stroke in strokes(rudiment.sticking))
    return Message(
        f"snare-drum.detail.sticking{'-unaccented' if unaccented else ''}",
        {"sticking": in_one_piece(rudiment.sticking), "values": _values(rudiment)},
    )


def _values(rudiment: Rudiment) -> Message:
    """Return its note value; of a roll also whether it is open or closed, and what the hands play."""
    values = note_values(rudiment.notes_per_beat)
    if rudiment.group in {None, "single"}:
        return values
    if any(stroke.buzz for stroke in strokes(rudiment.sticking)):
        return Message("snare-drum.detail.roll-closed", {"hands": values})
    hands, left_over = divmod(rudiment.notes_per_beat, _strokes_of_a_hand(rudiment))
    if left_over:
        return Message("snare-drum.detail.roll-open", {"values": values})
    return Message("snare-drum.detail.roll-open-hands", {"values": values, "hands": note_values(hands)})


def _strokes_of_a_hand(rudiment: Rudiment) -> int:
    """Return 2 for a roll in doubles, 3 for one in triples."""
    hands = (stroke.hand for stroke in strokes(rudiment.sticking))
    return max(len(list(run)) for _, run in groupby(hands))


def _steady_material(chosen: tuple[Rudiment, ...], steady: _Steady, *, with_values: bool = True) -> Material:
    units = tuple(
        Unit(
            id=rudiment.id,
            label=rudiment.label,
            timing=steady.of_notes(rudiment.slots * steady.cycles, rudiment.notes_per_beat, steady.bpm),
            detail=_sticking_detail(rudiment, with_values=with_values),
        )
        for rudiment in chosen
    )
    return Material(
        units=within_bounds(units, "bpm, cycles, passes or pause_seconds"),
        parameters={
            "surface": surface(steady.surface, loud=False),
            "tempo": tempo(steady.bpm),
            "sticking": _as_shown(chosen),
            "amount": steady.amount("cycles", cycles=times(steady.cycles)),
        },
    )


def family(settings: Mapping[str, Any]) -> Material:
    """Rudiments of one family at a steady tempo; one rudiment is one unit.

    :raises ValueError: where a rudiment is named twice, or a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _FamilySettings, strict=False)
    return _steady_material(chosen_rudiments(chosen.rudiments), chosen)


def rolls_by_length(settings: Mapping[str, Any]) -> Material:
    """Rolls of a counted number of strokes, from short to long, each hand leading; one roll is one unit.

    What they have in common is said once.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _LengthSettings, strict=False)
    rolls = tuple(
        replace(roll, sticking=both_leads(roll.sticking))
        for roll in chosen_rudiments([ROLL_NAMES[length] for length in chosen.lengths])
    )
    values = [_values(roll) for roll in rolls]
    alike = values.count(values[0]) == len(values)
    material = _steady_material(rolls, chosen, with_values=not alike)
    if not alike:
        return material
    sticking = Message(
        "snare-drum.sticking.with-values",
        {"sticking": material.parameters["sticking"], "values": values[0]},
    )
    return replace(material, parameters={**material.parameters, "sticking": sticking})


def open_closed_open(settings: Mapping[str, Any]) -> Material:
    """Each rudiment from slow to fast and back: at every tempo of the ladder `cycles` times round.

    A unit's seconds are `sum over the ladder of (slots * cycles / notes_per_beat * 60 / bpm)`, rounded up.

    :raises ValueError: where the ladder does not climb, a rudiment is named twice, or a unit's length is
        out of bounds.
    """
    chosen = msgspec.convert(settings, _LadderSettings, strict=False)
    tempi = tempo_ladder(chosen.from_bpm, chosen.to_bpm, chosen.step_bpm)
    asked = chosen_rudiments(chosen.rudiments)
    units = tuple(
        Unit(
            id=rudiment.id,
            label=rudiment.label,
            timing=ladder_timing(Fraction(rudiment.slots * chosen.cycles, rudiment.notes_per_beat), tempi),
            detail=_sticking_detail(rudiment),
        )
        for rudiment in asked
    )
    return Material(
        units=within_bounds(units, "from_bpm, to_bpm, step_bpm or cycles"),
        parameters={
            "surface": surface(chosen.surface, loud=False),
            "sticking": _as_shown(asked),
            "from_tempo": tempo(chosen.from_bpm),
            "to_bpm": chosen.to_bpm,
            "step_bpm": in_words(chosen.step_bpm),
            "amount": amount("ladder", chosen.cycles, cycles=times(chosen.cycles)),
        },
    )


def paradiddle_chain(settings: Mapping[str, Any]) -> Material:
    """Single, double, triple paradiddle and paradiddle-diddle in semiquavers; one tempo is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _ChainSettings, strict=False)
    units = tuple(
        Unit(
            id=str(bpm),
            label=tempo(bpm),
            timing=chosen.of_notes(CHAIN_NOTES * chosen.cycles, notes_per_beat=4, bpm=bpm),
        )
        for bpm in sorted(chosen.tempi)
    )
    return Material(
        units=within_bounds(units, "tempi, cycles, passes or pause_seconds"),
        parameters={
            "surface": surface(chosen.surface, loud=False),
            "sticking": ", ".join(in_one_piece(link) for link in CHAIN),
            "amount": chosen.amount("chain", cycles=times(chosen.cycles)),
        },
    )
