"""Passes with a pause after each: what most exercises repeat."""

from bagatelle.contract import BarTiming, Message, NoteTiming, Value
from msgspec import Struct

from bagatelle_snare_drum.exercises.wording import amount, with_pause


class Passes(Struct, frozen=True, kw_only=True):
    """How often, and the seconds of pause after every pass, the last included."""

    passes: int
    pause_seconds: int

    def of_notes(self, notes: int, notes_per_beat: int, bpm: int) -> NoteTiming:
        """Return the time of so many slots a pass."""
        return NoteTiming(
            notes=notes,
            notes_per_beat=notes_per_beat,
            bpm=bpm,
            passes=self.passes,
            pause_seconds=self.passes * self.pause_seconds,
        )

    def of_bars(self, bars: float, beats_per_bar: float, bpm: int) -> BarTiming:
        """Return the time of so many bars a pass."""
        return BarTiming(
            bars=bars,
            beats_per_bar=beats_per_bar,
            bpm=bpm,
            passes=self.passes,
            pause_seconds=self.passes * self.pause_seconds,
        )

    def amount(self, kind: str, **parameters: Value) -> Message:
        """Return what texts say of them, the pause included."""
        return with_pause(amount(kind, self.passes, **parameters), self.passes, self.pause_seconds)
