"""Music: reading at sight, passages of a piece, and traded phrases."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import msgspec
from bagatelle.contract import BarTiming, Material, Message, Unit, Value
from msgspec import Struct

from bagatelle_snare_drum.durations import within_bounds
from bagatelle_snare_drum.exercises.passes import Passes
from bagatelle_snare_drum.exercises.wording import (
    Beat,
    Surface,
    amount,
    in_words,
    loudness_on,
    seconds,
    surface,
    surface_within,
    tempo,
)

MENDING_SECONDS: Final = 4
"""From this pause on, something can be mended between two passes."""
IDEAS: Final = ("rests", "accents", "doubles", "paradiddles", "flams", "drags")


class _ReadingSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    book: str
    lines: int
    bars_per_line: int
    beats_per_bar: int
    beat: Beat
    bpm: int
    look_seconds: int


class _Passage(Passes, frozen=True, kw_only=True):
    id: str
    label: str | None = None
    bars: float
    bpm: int
    beats_per_bar: float = 4
    beat: Beat = "crotchet"
    passes: int = 3
    pause_seconds: int = 5

    @property
    def name(self) -> Message:
        """Its label, or what is said where it has none."""
        if self.label is None:
            bars = in_words(int(self.bars)) if self.bars.is_integer() else self.bars
            return Message("snare-drum.unit.marked", {"count": self.bars, "bars": bars})
        return Message("snare-drum.unit.passage", {"label": self.label})

    @property
    def tempo(self) -> Message:
        """Its tempo as a text."""
        return tempo(self.bpm, self.beat)


class _PassageSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    piece: str
    passages: tuple[_Passage, ...]


class _TradingSettings(Struct, frozen=True, kw_only=True):
    surface: Surface
    ideas: tuple[str, ...]
    bpm: int
    rounds: int


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
            "surface": surface_within(chosen.surface),
            "bars": in_words(chosen.bars_per_line),
            "tempo": tempo(chosen.bpm, chosen.beat),
            "look": seconds(chosen.look_seconds),
        },
    )


def _refuse_repeated_ids(passages: Sequence[_Passage]) -> None:
    seen: set[str] = set()
    for passage in passages:
        if passage.id in seen:
            raise ValueError(f"Two passages have the id {passage.id!r}; give each passage an id of its own.")
        seen.add(passage.id)


def _words_of(passages: Sequence[_Passage]) -> dict[str, Value]:
    """Return tempo and passes for a dose of one passage and, as `..._each`, for one of several.

    Where the passages do not share them, the texts send the reader to the detail beside each passage.
    """
    words: dict[str, Value] = {}
    for ending in ("", "_each"):
        if len({(passage.bpm, passage.beat) for passage in passages}) == 1:
            words[f"speed{ending}"] = passages[0].tempo
        else:
            words[f"speed{ending}"] = Message(f"snare-drum.passage.tempo-beside{_dashed(ending)}")
        passes = _passes_of(passages, ending)
        words[f"amount{ending}"] = _between(passes, passages, "mending")
        words[f"soft_amount{ending}"] = _between(passes, passages, "looking-again")
    return words


def _passes_of(passages: Sequence[_Passage], ending: str) -> Message:
    if len({passage.passes for passage in passages}) == 1:
        return amount(f"passages{_dashed(ending)}", passages[0].passes)
    return Message(f"snare-drum.passage.passes-beside{_dashed(ending)}")


def _between(passes: Message, passages: Sequence[_Passage], pastime: str) -> Message:
    """Add what the pauses are for, where every passage has one long enough."""
    some_between = any(passage.passes > 1 for passage in passages)
    if some_between and all(passage.pause_seconds >= MENDING_SECONDS for passage in passages):
        return Message(f"snare-drum.passage.{pastime}", {"passes": passes})
    return passes


def _dashed(ending: str) -> str:
    return ending.replace("_", "-")


def _passage_unit(passage: _Passage) -> Unit:
    detail: dict[str, Value] = {
        "tempo": passage.tempo,
        "passes": amount("passages", passage.passes),
    }
    return Unit(
        id=passage.id,
        label=passage.name,
        timing=passage.of_bars(passage.bars, passage.beats_per_bar, passage.bpm),
        detail=Message("snare-drum.detail.passage", detail),
    )


def passage(settings: Mapping[str, Any]) -> Material:
    """Passages of one piece, in the order given; one passage is one unit.

    :raises ValueError: where two passages share an id, or a unit's length is out of bounds.
    """
    chosen = msgspec.convert(settings, _PassageSettings, strict=False)
    _refuse_repeated_ids(chosen.passages)
    units = tuple(_passage_unit(passage) for passage in chosen.passages)
    return Material(
        units=within_bounds(units, "bars, beats_per_bar, bpm, passes or pause_seconds"),
        parameters={
            "surface": surface(chosen.surface, loud=True),
            "piece": chosen.piece,
            **_words_of(chosen.passages),
        },
        loudness=loudness_on(chosen.surface),
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
        parameters={
            "surface": surface(chosen.surface, loud=True),
            "tempo": tempo(chosen.bpm),
            "amount": amount("trades", chosen.rounds),
        },
        loudness=loudness_on(chosen.surface),
    )
