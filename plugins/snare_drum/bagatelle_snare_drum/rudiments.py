"""The forty international drum rudiments: numbers, names, families, stickings, note values."""

from collections.abc import Sequence
from functools import cache
from typing import Annotated, Literal

import msgspec
from bagatelle.contract import Message, Source
from msgspec import Meta, Struct

from bagatelle_snare_drum.resources import read_resource
from bagatelle_snare_drum.sticking import slots

Family = Literal["roll", "diddle", "flam", "drag"]


class Rudiment(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One rudiment as the published list numbers it."""

    number: Annotated[int, Meta(ge=1, le=40)]
    id: str
    """The slug of its name; also the id of its unit."""
    name: str
    family: Family
    group: Literal["single", "multiple bounce", "double"] | None = None
    """Rolls alone are grouped further."""
    sticking: str
    """Once round, in the notation of `sticking`."""
    notes_per_beat: Literal[2, 3, 4]
    """Slots to the crotchet beat. Common practice, no source: the chart leaves room, and teachers differ."""
    source: Source

    @property
    def slots(self) -> int:
        """Slots of time that once round the sticking holds."""
        return slots(self.sticking)

    @property
    def label(self) -> Message:
        """Its name as a text."""
        return Message(f"snare-drum.rudiment.{self.id}")


@cache
def rudiments() -> tuple[Rudiment, ...]:
    """Return all forty, in published order."""
    return msgspec.json.decode(read_resource("rudiments.json"), type=tuple[Rudiment, ...])


def chosen_rudiments(names: Sequence[str]) -> tuple[Rudiment, ...]:
    """Return the rudiments of these names or slugs, in published order whatever the order asked.

    :raises ValueError: where one is named twice, or is not in the list.
    """
    by_name = {key: rudiment for rudiment in rudiments() for key in (rudiment.name, rudiment.id)}
    chosen: dict[int, Rudiment] = {}
    for name in names:
        if name not in by_name:
            raise ValueError(
                f"{name!r} is none of the forty rudiments; a name such as 'Flam Tap' is accepted."
            )
        rudiment = by_name[name]
        if rudiment.number in chosen:
            raise ValueError(
                f"{rudiment.name!r} is asked for twice; name each rudiment once, by name or by slug."
            )
        chosen[rudiment.number] = rudiment
    return tuple(chosen[number] for number in sorted(chosen))
