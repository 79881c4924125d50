"""A small right plugin to begin from, and entry points that were never installed."""

from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any

from bagatelle.contract import (
    Exercise,
    Instrument,
    Material,
    Message,
    OwnTaskProposal,
    PlainTiming,
    Source,
    Texts,
    Unit,
    hookimpl,
)
from msgspec.structs import replace

TEXTS: dict[str, Any] = {
    "kazoo.name": "Kazoo",
    "kazoo.hum.title": "Humming",
    "kazoo.hum.what": "Hum {units}.",
    "kazoo.hum.how": "Evenly, at {bpm}.",
    "kazoo.hum.how_much": {"by": "unit_count", "one": "{unit_count} note", "other": "{unit_count} notes"},
    "kazoo.hum.done_when": "It buzzes for {minutes} of the minutes.",
    "kazoo.caution": "Stop where it hurts.",
    "kazoo.own.label": "A tune",
    "kazoo.note": "the note {name}",
}

HUM = Exercise(
    id="kazoo.hum",
    area="tone",
    level="beginner",
    concreteness="exact",
    divisibility="fine",
    strain="low",
    loudness="soft",
    usual_minutes=5,
    smallest_chunk_seconds=30,
    set_up_seconds=0,
    warm_up_stand_in=True,
    settings_schema={
        "type": "object",
        "properties": {
            "notes": {
                "type": "array",
                "items": {"enum": ["C", "D", "E"]},
                "minItems": 1,
                "uniqueItems": True,
            },
            "bpm": {"type": "integer", "minimum": 40, "maximum": 200},
        },
        "additionalProperties": False,
    },
    defaults={"notes": ["C", "D"], "bpm": 60},
    sources=(Source(fact="A kazoo is hummed into.", source="common practice", status="from memory"),),
)

KAZOO = Instrument(
    id="kazoo",
    family="wind",
    exercises=(HUM,),
    proposals=(
        OwnTaskProposal(
            area="repertoire", label="kazoo.own.label", manner="kazoo.name", done_when="kazoo.name"
        ),
    ),
)

ENGLISH = (Texts(locale="en", messages=TEXTS),)


def hum(settings: Mapping[str, Any]) -> Material:
    """Return one unit of ten seconds for each note."""
    return Material(
        units=tuple(
            Unit(id=note, label=Message("kazoo.note", {"name": note}), timing=PlainTiming(seconds=10))
            for note in settings["notes"]
        ),
        parameters={"bpm": settings["bpm"]},
    )


class SamplePlugin:
    """A plugin of one instrument; each part of it can be replaced by a wrong one."""

    def __init__(
        self,
        *,
        contract: Any = 1,
        instruments: Any = (KAZOO,),
        texts: Any = ENGLISH,
        material: Callable[[Mapping[str, Any]], Any] = hum,
    ) -> None:
        self._contract = contract
        self._instruments = instruments
        self._texts = texts
        self._material = material

    @hookimpl
    def bagatelle_contract(self) -> Any:
        return self._contract

    @hookimpl
    def bagatelle_instruments(self) -> Any:
        return self._instruments

    @hookimpl
    def bagatelle_texts(self) -> Any:
        return self._texts

    @hookimpl
    def bagatelle_material(self, exercise: str, settings: Mapping[str, Any]) -> Any:
        assert exercise.partition(".")[2] == "hum"
        return self._material(settings)


class FakeEntryPoint:
    """An entry point that nobody installed."""

    def __init__(self, name: str, load: Callable[[], object], version: str = "1.2.3") -> None:
        self.name = name
        self.dist: Any = SimpleNamespace(name=f"sample-{name}", version=version)
        self._load = load

    def load(self) -> object:
        return self._load()


def point(plugin: object, name: str = "kazoo") -> FakeEntryPoint:
    return FakeEntryPoint(name, lambda: plugin)


def renamed(instrument: str) -> SamplePlugin:
    """Return the same plugin for another instrument."""

    def moved(identifier: str) -> str:
        return identifier.replace("kazoo", instrument, 1)

    proposals = tuple(
        replace(each, label=moved(each.label), manner=moved(each.manner), done_when=moved(each.done_when))
        for each in KAZOO.proposals
    )
    exercises = tuple(replace(each, id=moved(each.id)) for each in KAZOO.exercises)

    def material(settings: Mapping[str, Any]) -> Material:
        units = tuple(replace(each, label=Message(f"{instrument}.name")) for each in hum(settings).units)
        return replace(hum(settings), units=units)

    return SamplePlugin(
        instruments=(replace(KAZOO, id=instrument, exercises=exercises, proposals=proposals),),
        texts=(Texts(locale="en", messages={moved(key): text for key, text in TEXTS.items()}),),
        material=material,
    )
