"""From which pitch to which a unit may go: what an instrument has, and what a learner wants to use of it."""

from typing import Final

from msgspec import Struct

from bagatelle.model.exercise import Instrument, Material
from bagatelle.model.request import Limits
from bagatelle.pitches import pitch_name, pitch_number


class PitchRange(Struct, frozen=True, gc=False):
    """Pitch numbers as written (C4 is 60); None where there is no end."""

    lowest: int | None = None
    highest: int | None = None

    def within(self, other: "PitchRange") -> "PitchRange":
        """Return what both hold."""
        lows = [each for each in (self.lowest, other.lowest) if each is not None]
        highs = [each for each in (self.highest, other.highest) if each is not None]
        return PitchRange(max(lows, default=None), min(highs, default=None))

    def fault(self, material: Material) -> str | None:
        """Say which unit leaves it, and by what; None where none does."""
        for unit in material.units:
            low, high = unit.lowest_pitch, unit.highest_pitch
            if low is not None and self.lowest is not None and low < self.lowest:
                return (
                    f"The unit {unit.id!r} goes down to {pitch_name(low)}, below {pitch_name(self.lowest)}."
                )
            if high is not None and self.highest is not None and high > self.highest:
                return (
                    f"The unit {unit.id!r} goes up to {pitch_name(high)}, above {pitch_name(self.highest)}."
                )
        return None


EVERY_PITCH: Final = PitchRange()


def range_of_instrument(instrument: Instrument) -> PitchRange:
    """Return what an instrument has."""
    return PitchRange(instrument.lowest_pitch, instrument.highest_pitch)


def range_of_learner(limits: Limits) -> PitchRange:
    """Return what a learner's limits leave."""
    return PitchRange(
        *(
            None if name is None else pitch_number(name)
            for name in (limits.lowest_pitch, limits.highest_pitch)
        )
    )
