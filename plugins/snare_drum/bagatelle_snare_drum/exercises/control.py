"""Control of the sticks: warm-up, single strokes, accents, buzz rolls, dynamics, speed."""

from collections.abc import Mapping
from typing import Any, Final, Literal

import msgspec
from bagatelle.contract import Material, Message, NoteTiming, Unit, Value
from msgspec import Struct

from bagatelle_snare_drum.durations import exact_seconds, within_bounds
from bagatelle_snare_drum.exercises.passes import Passes
from bagatelle_snare_drum.exercises.wording import (
    Surface,
    amount,
    in_words,
    lasting,
    loudness_on,
    note_values,
    seconds,
    surface,
    tempo,
    with_pause,
)
from bagatelle_snare_drum.sticking import in_one_piece

BEATS_PER_BAR: Final = 4
WARM_UP_PATTERNS: Final[Mapping[str, str]] = {
    "eight-on-a-hand": "RRRRRRRR LLLLLLLL",
    "slow-doubles": "RRLL RRLL RRLL RRLL",
    "doubled-doubles": "RRLL RRLL RRLL RRLL",
}
ACCENTS: Final = ("first", "second", "third", "fourth", "moving")
ROLL_SHAPES: Final = ("steady", "crescendo", "diminuendo", "swell", "forte-piano")
HANDS: Final[Mapping[str, int]] = {"quavers": 2, "triplets": 3, "semiquavers": 4}
DYNAMIC_SHAPES: Final = ("crescendo", "diminuendo", "swell", "sudden")


class _WarmUpSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    patterns: tuple[Literal["eight-on-a-hand", "slow-doubles", "doubled-doubles"], ...]
    bpm: int
    rounds: int


class _Bars(Passes, frozen=True, kw_only=True):
    surface: Surface
    bars: int

    def semiquavers(self, bpm: int) -> NoteTiming:
        """Return the time of bars of 4/4 full of semiquavers."""
        return self.of_notes(self.bars * BEATS_PER_BAR * 4, notes_per_beat=4, bpm=bpm)

    def words(self, *, loud: bool) -> dict[str, Value]:
        """Return what texts say of them."""
        return {
            "surface": surface(self.surface, loud=loud),
            "amount": self.amount("bars", bars=in_words(self.bars)),
        }


class _SingleStrokeSettings(_Bars, frozen=True, kw_only=True):
    tempi: tuple[int, ...]


class _AccentSettings(_Bars, frozen=True, kw_only=True):
    accents: tuple[str, ...]
    bpm: int


class _BuzzRollSettings(_Bars, frozen=True, kw_only=True):
    shapes: tuple[str, ...]
    hands: Literal["quavers", "triplets", "semiquavers"]
    bpm: int


class _DynamicsSettings(_Bars, frozen=True, kw_only=True):
    shapes: tuple[str, ...]
    softest: str
    loudest: str
    bpm: int


class _SpeedSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    tempi: tuple[int, ...]
    burst_beats: int
    bursts: int
    rest_seconds: int


def warm_up(settings: Mapping[str, Any]) -> Material:
    """Rounds of sixteen quavers' length: eight on a hand, slow doubles, or doubles that go twice as fast halfway.

    One pattern is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _WarmUpSettings, strict=False)
    units = tuple(
        Unit(
            id=pattern,
            label=Message(f"snare-drum.unit.{pattern}"),
            timing=NoteTiming(notes=16, notes_per_beat=2, bpm=chosen.bpm, passes=chosen.rounds),
            detail=_warm_up_detail(pattern, in_one_piece(sticking)),
        )
        for pattern, sticking in WARM_UP_PATTERNS.items()
        if pattern in chosen.patterns
    )
    return Material(
        units=within_bounds(units, "bpm or rounds"),
        parameters={
            "surface": surface(chosen.surface, loud=False),
            "tempo": tempo(chosen.bpm),
            "amount": lasting(exact_seconds(units[0].timing)),
        },
    )


def _warm_up_detail(pattern: str, sticking: str) -> Message:
    values: dict[str, Value] = {"sticking": sticking, "values": note_values(2)}
    if pattern == "doubled-doubles":
        return Message("snare-drum.detail.sticking-in-halves", values | {"faster_values": note_values(4)})
    return Message("snare-drum.detail.sticking", values)


def single_strokes(settings: Mapping[str, Any]) -> Material:
    """Semiquavers hand to hand; one tempo is one unit, slow to fast.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _SingleStrokeSettings, strict=False)
    units = tuple(
        Unit(id=str(bpm), label=tempo(bpm), timing=chosen.semiquavers(bpm)) for bpm in sorted(chosen.tempi)
    )
    return Material(
        units=within_bounds(units, "tempi, bars, passes or pause_seconds"),
        parameters=chosen.words(loud=False),
    )


def accents(settings: Mapping[str, Any]) -> Material:
    """Accents over low taps in semiquavers; one place of the accent is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _AccentSettings, strict=False)
    units = tuple(
        Unit(
            id=place,
            label=Message(f"snare-drum.unit.accent.{place}"),
            timing=chosen.semiquavers(chosen.bpm),
            detail=Message(f"snare-drum.detail.accent.{place}"),
        )
        for place in ACCENTS
        if place in chosen.accents
    )
    return Material(
        units=within_bounds(units, "bpm, bars, passes or pause_seconds"),
        parameters={**chosen.words(loud=False), "tempo": tempo(chosen.bpm)},
    )


def buzz_roll(settings: Mapping[str, Any]) -> Material:
    """Long multiple bounce rolls, counted in bars of four beats; one dynamic shape is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _BuzzRollSettings, strict=False)
    timing = chosen.of_bars(chosen.bars, BEATS_PER_BAR, chosen.bpm)
    rolls = amount("rolls", chosen.passes, bars=in_words(chosen.bars))
    units = tuple(
        Unit(
            id=shape,
            label=Message(f"snare-drum.unit.roll.{shape}"),
            timing=timing,
            detail=Message(f"snare-drum.detail.roll.{shape}"),
        )
        for shape in ROLL_SHAPES
        if shape in chosen.shapes
    )
    return Material(
        units=within_bounds(units, "bpm, bars, passes or pause_seconds"),
        parameters={
            "surface": surface(chosen.surface, loud=True),
            "tempo": tempo(chosen.bpm),
            "hands": note_values(HANDS[chosen.hands]),
            "amount": with_pause(rolls, chosen.passes, chosen.pause_seconds, longest_breath_seconds=0),
        },
        loudness=loudness_on(chosen.surface),
    )


def dynamics(settings: Mapping[str, Any]) -> Material:
    """Single strokes in semiquavers between two dynamics; one shape is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _DynamicsSettings, strict=False)
    units = tuple(
        Unit(
            id=shape,
            label=Message(f"snare-drum.unit.dynamic.{shape}"),
            timing=chosen.semiquavers(chosen.bpm),
            detail=Message(
                f"snare-drum.detail.dynamic.{shape}", {"softest": chosen.softest, "loudest": chosen.loudest}
            ),
        )
        for shape in DYNAMIC_SHAPES
        if shape in chosen.shapes
    )
    return Material(
        units=within_bounds(units, "bpm, bars, passes or pause_seconds"),
        parameters={
            **chosen.words(loud=True),
            "tempo": tempo(chosen.bpm),
            "softest": chosen.softest,
            "loudest": chosen.loudest,
        },
        loudness=loudness_on(chosen.surface),
    )


def fast_singles(settings: Mapping[str, Any]) -> Material:
    """Short bursts of semiquavers with the hands at rest after each; one tempo is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _SpeedSettings, strict=False)
    units = tuple(
        Unit(
            id=str(bpm),
            label=tempo(bpm),
            timing=NoteTiming(
                notes=chosen.burst_beats * 4,
                notes_per_beat=4,
                bpm=bpm,
                passes=chosen.bursts,
                pause_seconds=chosen.bursts * chosen.rest_seconds,
            ),
        )
        for bpm in sorted(chosen.tempi)
    )
    return Material(
        units=within_bounds(units, "tempi, burst_beats, bursts or rest_seconds"),
        parameters={
            "surface": surface(chosen.surface, loud=False),
            "amount": amount(
                "bursts",
                chosen.bursts,
                beats=in_words(chosen.burst_beats),
                rest=seconds(chosen.rest_seconds),
            ),
        },
    )
