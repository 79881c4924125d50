"""From settings to units: what an exercise's `units` table means."""

import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any, Literal

from msgspec import Struct

from bagatelle.model.exercise import BarTiming, Material, NoteTiming, PlainTiming, Timing, Unit
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import Loudness
from bagatelle.toml_catalogue.expression import Exact, Sum
from bagatelle.toml_catalogue.placeholders import parameter_name
from bagatelle.toml_catalogue.settings import EachValue, Setting
from bagatelle.toml_catalogue.unit_bounds import (
    UnitError,
    check_length,
    counted,
    pause_of,
    pitch_of,
    positive,
)

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

    @property
    def length_names(self) -> frozenset[str]:
        """What its length hangs on: settings, and `each` where its units may differ in it."""
        return _first_names(self.length, self.per_beat, self.bpm, self.passes, self.pause_seconds)

    @property
    def pitch_names(self) -> frozenset[str]:
        """What its pitches hang on, likewise."""
        return _first_names(self.lowest, self.highest)

    def material(self, given: Mapping[str, Any]) -> Material:
        """Return what settings make of the exercise.

        :param given: a value for every setting, valid.
        :raises ValueError: where a unit cannot be played: names it.
        """
        units = tuple(self._unit(given, value) for value in self._values(given))
        return Material(
            units=units,
            parameters=self._parameters(self.in_texts, given, None),
            loudness=self._loudness(given),
        )

    def timing(self, given: Mapping[str, Any], value: EachValue | None) -> Timing:
        """Return how long one unit takes.

        :param value: the one of `each` whose unit it is.
        :raises UnitError: where it cannot be played.
        """

        def number(name: str) -> Exact:
            return self._number(name, given, value)

        length = positive(self.by, self.length.value(number))
        passes = counted("passes", self.passes.value(number))
        played = self._played_seconds(length, passes, number)

        def with_played(name: str) -> Exact:
            return math.ceil(played) if name == "played" else number(name)

        pause = pause_of(self.pause_seconds.value(with_played))
        check_length(played + pause)
        if self.by == "seconds" or self.bpm is None:
            return PlainTiming(seconds=math.ceil(played + pause))
        bpm, per_beat = float(self.bpm.value(number)), float(self.per_beat.value(number))
        if self.by == "notes":
            return NoteTiming(
                notes=counted("notes", length),
                notes_per_beat=per_beat,
                bpm=bpm,
                passes=passes,
                pause_seconds=float(pause),
            )
        return BarTiming(
            bars=float(length), beats_per_bar=per_beat, bpm=bpm, passes=passes, pause_seconds=float(pause)
        )

    def pitches(self, given: Mapping[str, Any], value: EachValue | None) -> tuple[int | None, int | None]:
        """Return the lowest and the highest pitch of one unit, as far as they are known.

        :raises UnitError: where one of them is none.
        """

        def number(name: str) -> Exact:
            return self._number(name, given, value)

        return (
            None if self.lowest is None else pitch_of(self.lowest.value(number)),
            None if self.highest is None else pitch_of(self.highest.value(number)),
        )

    def _values(self, given: Mapping[str, Any]) -> Sequence[EachValue | None]:
        if self.each is None:
            return (None,)
        return self.settings[self.each].each(given[self.each])

    def _unit(self, given: Mapping[str, Any], value: EachValue | None) -> Unit:
        identifier = self.exercise.partition(".")[2] if value is None else value.id
        try:
            timing = self.timing(given, value)
            lowest, highest = self.pitches(given, value)
        except UnitError as error:
            raise ValueError(f"The unit {identifier!r} {error}.") from error
        return Unit(
            id=identifier,
            label=self._label(given, value),
            timing=timing,
            detail=None
            if self.detail is None
            else Message(f"{self.exercise}.unit.detail", self._parameters(self.detail, given, value)),
            lowest_pitch=lowest,
            highest_pitch=highest,
        )

    def _number(self, name: str, given: Mapping[str, Any], value: EachValue | None) -> Exact:
        setting, _, column = name.partition(".")
        if setting == "each" and value is not None:
            return value.setting.number(value.given, column or None)
        return self.settings[setting].number(given[setting], column or None)

    def _played_seconds(self, length: Exact, passes: int, number: Callable[[str], Exact]) -> Exact:
        if self.by == "seconds" or self.bpm is None:
            return length * passes
        bpm = positive("bpm", self.bpm.value(number))
        per_beat = positive(
            "notes_per_beat" if self.by == "notes" else "beats_per_bar", self.per_beat.value(number)
        )
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


def _first_names(*sums: Sum | None) -> frozenset[str]:
    return frozenset(name.partition(".")[0] for each in sums if each is not None for name in each.names)
