"""From settings to units: what an exercise's `units` table means."""

import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any, Final, Literal

from msgspec import Struct

from bagatelle.model.exercise import BarTiming, Material, NoteTiming, PlainTiming, Timing, Unit
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import Loudness
from bagatelle.toml_catalogue.expression import Exact, Sum
from bagatelle.toml_catalogue.placeholders import parameter_name
from bagatelle.toml_catalogue.settings import EachValue, Setting

SHORTEST_UNIT_SECONDS: Final = 5
LONGEST_UNIT_SECONDS: Final = 600
HIGHEST_PITCH: Final = 127
By = Literal["notes", "bars", "seconds"]
Placeholder = tuple[str, str | None]


class UnitRule(Struct, frozen=True, kw_only=True):
    """The `units` table of one exercise, parsed and found right."""

    exercise: str
    settings: Mapping[str, Setting]
    each: str | None
    by: By
    length: Sum
    """Notes, bars or seconds of one pass."""
    per_beat: Sum
    """Notes to the beat, or beats to the bar; of no meaning where seconds are given."""
    bpm: Sum | None
    passes: Sum
    pause_seconds: Sum
    lowest: Sum | None
    highest: Sum | None
    label: tuple[Placeholder, ...] | None
    """The placeholders of the units' own label; None where the value's label is theirs."""
    detail: tuple[Placeholder, ...] | None
    loudness_from: str | None
    """The setting that it hangs on."""
    loudness: Mapping[str, Loudness]
    """By its value."""
    in_texts: tuple[Placeholder, ...]
    """The placeholders of the exercise's texts that are not the engine's."""

    def material(self, given: Mapping[str, Any]) -> Material:
        """Return what settings make of the exercise.

        :param given: a value for every setting, valid.
        :raises ValueError: where a unit would last too long, or no time at all.
        """
        units = tuple(self._unit(given, value) for value in self._values(given))
        return Material(
            units=units,
            parameters=self._parameters(self.in_texts, given, None),
            loudness=self._loudness(given),
        )

    def _values(self, given: Mapping[str, Any]) -> Sequence[EachValue | None]:
        if self.each is None:
            return (None,)
        return self.settings[self.each].each(given[self.each])

    def _unit(self, given: Mapping[str, Any], value: EachValue | None) -> Unit:
        def number(name: str) -> Exact:
            return self._number(name, given, value)

        timing = self._timing(number)
        return Unit(
            id=self.exercise.partition(".")[2] if value is None else value.id,
            label=self._label(given, value),
            timing=timing,
            detail=None
            if self.detail is None
            else Message(f"{self.exercise}.unit.detail", self._parameters(self.detail, given, value)),
            lowest_pitch=_whole(self.lowest, number),
            highest_pitch=_whole(self.highest, number),
        )

    def _number(self, name: str, given: Mapping[str, Any], value: EachValue | None) -> Exact:
        setting, _, column = name.partition(".")
        if setting == "each" and value is not None:
            return value.setting.number(value.given, column or None)
        return self.settings[setting].number(given[setting], column or None)

    def _timing(self, number: Callable[[str], Exact]) -> Timing:
        length = self.length.value(number)
        passes = _count("passes", self.passes.value(number))
        played = self._played_seconds(length, passes, number)

        def with_played(name: str) -> Exact:
            return math.ceil(played) if name == "played" else number(name)

        pause = max(self.pause_seconds.value(with_played), 0)
        _check_length(played + pause)
        if self.by == "seconds" or self.bpm is None:
            return PlainTiming(seconds=math.ceil(played + pause))
        bpm, per_beat = float(self.bpm.value(number)), float(self.per_beat.value(number))
        if self.by == "notes":
            return NoteTiming(
                notes=_count("notes", length),
                notes_per_beat=per_beat,
                bpm=bpm,
                passes=passes,
                pause_seconds=float(pause),
            )
        return BarTiming(
            bars=float(length), beats_per_bar=per_beat, bpm=bpm, passes=passes, pause_seconds=float(pause)
        )

    def _played_seconds(self, length: Exact, passes: int, number: Callable[[str], Exact]) -> Exact:
        if self.by == "seconds" or self.bpm is None:
            return length * passes
        bpm = _positive("bpm", self.bpm.value(number))
        per_beat = _positive("the beat's or bar's count", self.per_beat.value(number))
        beats = Fraction(length) / per_beat if self.by == "notes" else length * per_beat
        return Fraction(beats * 60 * passes) / bpm

    def _label(self, given: Mapping[str, Any], value: EachValue | None) -> Message:
        if self.label is not None:
            return Message(f"{self.exercise}.unit", self._parameters(self.label, given, value))
        if value is None:
            raise TypeError("a single unit has a label of its own")
        said = value.setting.said(value.given, None)
        return said if isinstance(said, Message) else Message("engine.plain", {"words": str(said)})

    def _parameters(
        self, placeholders: tuple[Placeholder, ...], given: Mapping[str, Any], value: EachValue | None
    ) -> dict[str, Value]:
        found: dict[str, Value] = {}
        for name, more in placeholders:
            parameter = parameter_name(name, more)
            if name == "term":
                found[parameter] = Message(f"engine.term.{more}")
            elif name == "each" and value is not None:
                found[parameter] = value.setting.said(value.given, more)
            else:
                found[parameter] = self.settings[name].said(given[name], more)
        return found

    def _loudness(self, given: Mapping[str, Any]) -> Loudness | None:
        return None if self.loudness_from is None else self.loudness[given[self.loudness_from]]


def _whole(pitch: Sum | None, number: Callable[[str], Exact]) -> int | None:
    if pitch is None:
        return None
    found = round(pitch.value(number))
    if not 0 <= found <= HIGHEST_PITCH:
        raise ValueError(f"A pitch comes to {found} (accepted: 0 to {HIGHEST_PITCH}, C4 being 60).")
    return found


def _count(what: str, value: Exact) -> int:
    if value < 1 or value.denominator != 1:
        raise ValueError(f"The {what} of a unit come to {float(value):g} (accepted: whole numbers from 1).")
    return int(value)


def _positive(what: str, value: Exact) -> Exact:
    if value <= 0:
        raise ValueError(f"{what} comes to {float(value):g} (accepted: more than nothing).")
    return value


def _check_length(seconds: Exact) -> None:
    lasts = math.ceil(seconds)  # as every unit is counted: rounded up to a whole second
    if not SHORTEST_UNIT_SECONDS <= lasts <= LONGEST_UNIT_SECONDS:
        raise ValueError(
            f"A unit would last {lasts} seconds "
            f"(accepted: {SHORTEST_UNIT_SECONDS} to {LONGEST_UNIT_SECONDS})."
        )
