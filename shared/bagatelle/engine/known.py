"""What a task is settled from."""

from collections.abc import Mapping
from datetime import date

from msgspec import Struct

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.rotation import LastDone
from bagatelle.engine.settled import SettledUnit, Words
from bagatelle.model.exercise import Exercise
from bagatelle.model.request import CompressionRequest
from bagatelle.model.vocabulary import Area, Concreteness, Loudness
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say


class Known(Struct, frozen=True, kw_only=True):
    """What settling a task looks things up in."""

    request: CompressionRequest
    instruments: Instruments
    policy: Policy
    say: Say
    done_units: LastDone
    done_tasks: Mapping[str, date]
    days_away: int | None
    """How long nothing was played, where that is so long that the day is one of the first again."""
    anything_due: bool
    """Whether something of the routine is due soon."""
    day_seconds: int
    """What the day that the routine is cut to by itself holds of set-ups and doses."""


class Body(Struct, frozen=True, kw_only=True, gc=False):
    """What a catalogue task and an own one are settled from alike."""

    exercise: Exercise | None
    area: Area
    title: str
    concreteness: Concreteness
    usual_seconds: int
    units: tuple[SettledUnit, ...]
    material: tuple[SettledUnit, ...]
    """The same, or what is proposed where no passages are named."""
    words: Words
    filled_in: tuple[str, ...]
    loudness_at_ear: Loudness | None = None
    """What the settings of an exercise make of it; None where that is its own."""

    @property
    def has_passages(self) -> bool:
        """Whether it is known what is played; else any of its units is no more than a stretch of time."""
        return self.exercise is not None or "passages" not in self.filled_in

    @property
    def round_seconds(self) -> int:
        """All units once round, each as often as its passes say."""
        return sum(unit.time.seconds for unit in self.units)
