"""Music: reading at sight, passages of a piece, and traded phrases."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import msgspec
from bagatelle.contract import BarTiming, Material, Message, Unit
from msgspec import Struct

from bagatelle_snare_drum.durations import within_bounds
from bagatelle_snare_drum.exercises.passes import Passes
from bagatelle_snare_drum.exercises.wording import amount, tempo

IDEAS: Final = ("rests", "accents", "doubles", "paradiddles", "flams", "drags")


class _ReadingSettings(Struct, frozen=True, kw_only=True):
    book: str
    lines: int
    bars_per_line: int
    beats_per_bar: int
    bpm: int
    look_seconds: int


class _Passage(Passes, frozen=True, kw_only=True):
    id: str
    label: str
    bars: float
    bpm: int
    beats_per_bar: float = 4
    passes: int = 3
    pause_seconds: int = 0


class _PassageSettings(Struct, frozen=True, kw_only=True):
    piece: str
    passages: tuple[_Passage, ...]


class _TradingSettings(Struct, frozen=True, kw_only=True):
    ideas: tuple[str, ...]
    bpm: int
    rounds: int


def _shortest(number: float) -> float | int:
    """Return 8 rather than 8.0, for texts."""
    return int(number) if number == int(number) else number


def sight_reading(settings: Mapping[str, Any]) -> Material:
    """Lines never played before, read once each after a silent look; one line is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _ReadingSettings, strict=False)
    timing = BarTiming(
        bars=chosen.bars_per_line,
        beats_per_bar=chosen.beats_per_bar,
        bpm=chosen.bpm,
        pause_seconds=chosen.look_seconds,
    )
    units = tuple(
        Unit(id=f"line-{line}", label=Message("snare-drum.unit.line", {"line": line}), timing=timing)
        for line in range(1, chosen.lines + 1)
    )
    return Material(
        units=within_bounds(units, "bars_per_line, beats_per_bar, bpm or look_seconds"),
        parameters={
            "book": chosen.book,
            "bars": chosen.bars_per_line,
            "tempo": tempo(chosen.bpm),
            "look_seconds": chosen.look_seconds,
        },
    )


def _refuse_repeated_ids(passages: Sequence[_Passage]) -> None:
    seen: set[str] = set()
    for passage in passages:
        if passage.id in seen:
            raise ValueError(f"Two passages have the id {passage.id!r}; give each passage an id of its own.")
        seen.add(passage.id)


def _amount(passages: Sequence[_Passage]) -> Message:
    passes = {passage.passes for passage in passages}
    if len(passes) == 1:
        return amount("passages", passes=passes.pop())
    return amount("listed")


def _passage_detail(passage: _Passage) -> Message:
    return Message(
        "snare-drum.detail.passage",
        {
            "label": passage.label,
            "bars": _shortest(passage.bars),
            "beats": _shortest(passage.beats_per_bar),
            "bpm": passage.bpm,
            "passes": passage.passes,
        },
    )


def passage(settings: Mapping[str, Any]) -> Material:
    """Passages of one piece, in the order given; one passage is one unit.

    :raises ValueError: where two passages share an id, or a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _PassageSettings, strict=False)
    _refuse_repeated_ids(chosen.passages)
    units = tuple(
        Unit(
            id=passage.id,
            label=Message("snare-drum.unit.passage", {"label": passage.label}),
            timing=passage.of_bars(passage.bars, passage.beats_per_bar, passage.bpm),
            detail=_passage_detail(passage),
        )
        for passage in chosen.passages
    )
    return Material(
        units=within_bounds(units, "bars, beats_per_bar, bpm, passes or pause_seconds"),
        parameters={"piece": chosen.piece, "amount": _amount(chosen.passages)},
    )


def improvisation(settings: Mapping[str, Any]) -> Material:
    """Four bars of time, four bars of solo, in 4/4, so many rounds; one idea is one unit.

    :raises ValueError: where a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _TradingSettings, strict=False)
    timing = BarTiming(bars=8, beats_per_bar=4, bpm=chosen.bpm, passes=chosen.rounds)
    units = tuple(
        Unit(id=idea, label=Message(f"snare-drum.unit.idea.{idea}"), timing=timing)
        for idea in IDEAS
        if idea in chosen.ideas
    )
    return Material(
        units=within_bounds(units, "bpm or rounds"),
        parameters={"tempo": tempo(chosen.bpm), "amount": amount("trades", rounds=chosen.rounds)},
    )
