"""The school by the lake: who is in it and what they practise. All of it is invented."""

import json
from datetime import datetime
from importlib import metadata
from typing import Any, Final

from bagatelle import Instruments, load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Material, Message, PlainTiming, Unit
from dateutil import tz
from msgspec import Struct
from msgspec.structs import replace

from tests.unit.catalogue.sample_plugins import HUM, KAZOO, FakeEntryPoint, SamplePlugin

DAYS: Final = 52 * 7
EVENING_HOURS: Final = 10
"""From the tests' beginning, at 8 in the morning, to the hour at which the phones are used; all in UTC."""
KEYS, DRUMS, BAND = "Keys on Mondays", "Drums in the cellar", "The whole band"
OPEN_UNIT: Final = "time"
"""The one unit of a task that lists no passages."""


class Pupil(Struct, frozen=True):
    """Somebody of the roster."""

    key: str
    name: str
    time_zone: str
    groups: tuple[str, ...]


PUPILS: Final = (
    Pupil("pupil-01", "Amund Lerke", "Europe/Oslo", (KEYS, BAND)),
    Pupil("pupil-02", "Birte Solstad", "Europe/Oslo", (KEYS, BAND)),
    Pupil("pupil-03", "Caoimhe Thrush", "Europe/Dublin", (KEYS, BAND)),
    Pupil("pupil-04", "Dario Fontanella", "Europe/Rome", (KEYS, BAND)),
    Pupil("pupil-05", "Eluned Marsh", "America/New_York", (KEYS, BAND)),
    Pupil("pupil-06", "Fenna Dijk", "Europe/Amsterdam", (DRUMS, BAND)),
    Pupil("pupil-07", "Goran Vuk", "Europe/Zagreb", (DRUMS, BAND)),
    Pupil("pupil-08", "Hemi Kauri", "Pacific/Auckland", (DRUMS, BAND)),
    Pupil("pupil-09", "Ines Roble", "America/Bogota", (DRUMS, BAND)),
    Pupil("pupil-10", "Jun Hayashi", "Asia/Tokyo", (BAND,)),
    Pupil("pupil-11", "Katya Berezina", "Australia/Lord_Howe", (BAND,)),
    Pupil("pupil-12", "Leif Holm", "Europe/Oslo", (BAND,)),
)
KAZOO_PLAYERS: Final = ("pupil-10", "pupil-11", "pupil-12")
PATTERN_OF_ROUTINES: Final = "pupil-06"
"""Whose routine is given to the other drummers."""
ERASED: Final = "pupil-12"
OFFLINE: Final = "pupil-05"
EXAMINED: Final = tuple(f"pupil-{number:02}" for number in range(1, 7))
"""Who has examinations elsewhere in the last weeks: of the band so many that neither they nor the rest are few."""


def roster(wrong: bool) -> str:
    """The roster as a table; a wrong one has a time zone that is none, and a group that is not there."""
    lines = ["key,display_name,time_zone,groups"]
    for pupil in PUPILS:
        zone, groups = pupil.time_zone, ";".join(pupil.groups)
        if wrong and pupil.key == "pupil-04":
            zone = "Europe/Atlantis"
        if wrong and pupil.key == "pupil-09":
            groups = "Triangles"
        lines.append(f"{pupil.key},{pupil.name},{zone},{groups}")
    return "\r\n".join(lines) + "\r\n"


def passages(name: str, count: int, bars: int) -> list[dict[str, Any]]:
    return [
        {"id": f"{name}-{number}", "label": f"{name} {number}", "bars": bars, "bpm": 84, "passes": 2}
        for number in range(1, count + 1)
    ]


KEYS_ROUTINE: Final[dict[str, Any]] = {
    "instrument": "piano",
    "routine": {
        "blocks": [
            {
                "id": "hands",
                "title": "Hands",
                "tasks": [
                    {
                        "id": "slow-shapes",
                        "title": "Slow shapes",
                        "area": "warm-up",
                        "minutes": 5,
                        "manner": "hands together",
                        "done_when": "each shape even once",
                        "passages": [
                            {"id": f"shape-{n}", "label": f"shape {n}", "seconds": 30, "passes": 1}
                            for n in range(1, 5)
                        ],
                    },
                    {"id": "scales", "exercise": "piano.major-scale", "stage": "refining", "minutes": 12},
                ],
            },
            {
                "id": "pieces",
                "title": "Pieces",
                "area": "repertoire",
                "tasks": [
                    {
                        "id": "gondola",
                        "title": "Gondola at dusk",
                        "stage": "learning",
                        "minutes": 25,
                        "manner": "slowly",
                        "done_when": "twice without a stop",
                        "passages": passages("part", 5, 8),
                    },
                    {"id": "reading", "title": "A line at sight", "area": "sight-reading", "minutes": 8},
                ],
            },
        ]
    },
}
KEYS_AREAS: Final = {
    "slow-shapes": "warm-up",
    "scales": "technique",
    "gondola": "repertoire",
    "reading": "sight-reading",
}
DRUMS_TABLE: Final = """\
student_key,routine_key,block,task,title,area,stage,minutes,manner,done_when
pupil-06,cellar,Pad,strokes,Strokes on the pad,technique,refining,10,relaxed,even for a minute
pupil-06,cellar,Pad,counting,Counting aloud,rhythm,learning,8,standing,no bar lost
pupil-06,cellar,Pieces,march,March of the ducks,repertoire,learning,20,at half tempo,once through
pupil-06,cellar,Pieces,listening,Sing it back,ear,learning,6,with the record,four bars right
"""
DRUMS_AREAS: Final = {"strokes": "technique", "counting": "rhythm", "march": "repertoire", "listening": "ear"}
KAZOO_ROUTINE: Final[dict[str, Any]] = {
    "key": "hum",
    "instrument": "kazoo",
    "routine": {
        "blocks": [
            {
                "title": "Humming",
                "tasks": [
                    {
                        "id": "humming",
                        "exercise": "kazoo.hum",
                        "settings": {"notes": ["C", "D", "E"], "bpm": 60},
                        "minutes": 8,
                    }
                ],
            },
            {
                "title": "Dances",
                "area": "repertoire",
                "tasks": [
                    {
                        "id": "polka",
                        "title": "Polka of the herons",
                        "stage": "learning",
                        "minutes": 16,
                        "passages": passages("strain", 4, 8),
                    },
                    {"id": "tunes", "title": "Tunes by ear", "area": "ear", "minutes": 8},
                ],
            },
        ]
    },
}
KAZOO_AREAS: Final = {"humming": "tone", "polka": "repertoire", "tunes": "ear"}
AREAS: Final = {**KEYS_AREAS, **DRUMS_AREAS, **KAZOO_AREAS, "encore": "repertoire"}
NEW_AREAS: Final = {"slow-shapes": "tone"}
"""What one routine has instead from some day on."""
OWN_UNITS: Final[dict[str, tuple[str, ...]]] = {
    "slow-shapes": tuple(f"shape-{n}" for n in range(1, 5)),
    "gondola": tuple(f"part-{n}" for n in range(1, 6)),
    "polka": tuple(f"strain-{n}" for n in range(1, 5)),
    "humming": ("C", "D", "E"),
}
"""Of tasks whose units the school itself names; any other task is one stretch of time, but for the scales."""


def keys_line(pupil: Pupil) -> str:
    """A keys player's routine, as a line of an import."""
    places = [(b, t) for b, t in ((0, 0), (0, 1), (1, 0), (1, 1))]
    tasks = [
        {
            "key": KEYS_ROUTINE["routine"]["blocks"][b]["tasks"][t]["id"],
            "pointer": f"/routine/blocks/{b}/tasks/{t}",
        }
        for b, t in places
    ]
    document = {**KEYS_ROUTINE, "format": "bagatelle-routine", "version": 1, "tasks": tasks}
    return json.dumps({"student_key": pupil.key, "key": "week", "document": document})


def instruments(kazoo_version: str) -> Instruments:
    """All that is installed, and a kazoo in one of its two versions: the newer hums each note for longer."""
    newer = kazoo_version != "1.0.0"

    def hum(settings: Any) -> Material:
        units = tuple(
            Unit(
                id=note,
                label=Message("kazoo.note", {"name": note}),
                timing=PlainTiming(seconds=14 if newer else 10),
            )
            for note in settings["notes"]
        )
        return Material(units=units, parameters={"bpm": settings["bpm"]})

    exercise = replace(HUM, usual_minutes=9 if newer else 5)
    plugin = SamplePlugin(instruments=(replace(KAZOO, exercises=(exercise,)),), material=hum)
    point: Any = FakeEntryPoint("kazoo", lambda: plugin, kazoo_version)
    return load_instruments(entry_points=[*metadata.entry_points(group=ENTRY_POINT_GROUP), point])


def local_day(moment: datetime, time_zone: str) -> Any:
    """The day that clocks there show, by another library than the service's."""
    return moment.astimezone(tz.gettz(time_zone)).date()
