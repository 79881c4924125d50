"""Whole requests as an app for pianists or drummers would send them, each made again by its index alone.

Catalogue exercises with settings of their own, and pieces with passages; two requests hardly share anything but
field names, so that nothing that a server might remember helps it.
"""

from random import Random
from typing import Any, Final

from bagatelle import Instruments
from bagatelle.model.exercise import Exercise, Instrument
from bagatelle_piano.plugin import MATERIAL as OF_PIANO
from bagatelle_snare_drum.plugin import MATERIAL as OF_SNARE_DRUM

from tests.seeded import seeded

STAGES: Final = ("new", "learning", "refining", "refining", "maintaining", "maintaining")
TEMPI: Final = (52, 56, 60, 63, 66, 69, 72, 76, 80, 84, 88, 92)
KEYS: Final = ("C", "G", "D", "A", "F")
INSTRUMENTS: Final = ("piano", "snare-drum")
MADE_BY_CODE: Final = frozenset({*OF_PIANO, *OF_SNARE_DRUM})


def generated_request(index: int, instruments: Instruments) -> dict[str, Any]:
    """The request of that index: a routine of 5 to 15 tasks, a day of one window, some history.

    The day gives a quarter of the usual time, or some minutes, as many requests would say.
    """
    random = seeded(f"request {index}")
    instrument = instruments.instrument(INSTRUMENTS[index % len(INSTRUMENTS)])
    if instrument is None:
        raise LookupError(f"The {INSTRUMENTS[index % len(INSTRUMENTS)]} plugin is not installed.")
    tasks = [
        _warm_up(random),
        *(_task(random, place, _of(instrument)) for place in range(random.randint(4, 14))),
    ]
    request: dict[str, Any] = {
        "instrument": instrument.id,
        "date": "2027-03-10",
        "learner": {"level": random.choice(("elementary", "intermediate", "advanced"))},
        "routine": {"title": f"Routine {index}", "blocks": _blocks(random, tasks)},
        "circumstances": {},
        "history": _history(random, tasks),
    }
    if random.random() < 0.5:
        request["circumstances"] = {"minutes": random.choice((5, 8, 10, 12, 15, 20, 25))}
    return request


def sized_request(index: int, instruments: Instruments, *, blocks: int, tasks_a_block: int) -> dict[str, Any]:
    """The request of that index, like the others, with so many blocks of so many tasks."""
    random = seeded(f"sized request {index}")
    request = generated_request(index, instruments)
    instrument = instruments.instrument(request["instrument"])
    if instrument is None:
        raise LookupError(f"The {request['instrument']} plugin is not installed.")
    tasks = [
        _warm_up(random),
        *(_task(random, place, _of(instrument)) for place in range(blocks * tasks_a_block - 1)),
    ]
    request["routine"]["blocks"] = [
        {
            "id": f"block-{number}",
            "title": f"Block {number + 1}",
            "tasks": tasks[start : start + tasks_a_block],
        }
        for number, start in enumerate(range(0, len(tasks), tasks_a_block))
    ]
    return request | {"history": _history(random, tasks)}


def _of(instrument: Instrument) -> tuple[Exercise, ...]:
    """Those made by code: their number does not grow with the catalogues, so the requests stay as they are."""
    return tuple(exercise for exercise in instrument.exercises if exercise.id in MADE_BY_CODE)


def _warm_up(random: Random) -> dict[str, Any]:
    return {
        "id": "warm-up",
        "title": "Slow and loose",
        "area": "warm-up",
        "stage": "maintaining",
        "strain": "low",
        "minutes": random.randint(3, 8),
        "manner": "slowly, shoulders low",
        "done_when": "the hands are warm",
        "passages": [
            {"id": f"round-{place}", "label": f"round {place + 1}", "seconds": random.randint(40, 100)}
            for place in range(random.randint(1, 4))
        ],
    }


def _task(random: Random, place: int, exercises: tuple[Exercise, ...]) -> dict[str, Any]:
    if random.random() < 0.4:
        return _piece(random, place)
    exercise = random.choice(exercises)
    return {
        "id": f"exercise-{place}",
        "exercise": exercise.id,
        "stage": random.choice(STAGES),
        "minutes": random.randint(3, 10),
        "settings": _settings(random, exercise),
        "cadence_days": random.randint(1, 7),
    }


def _settings(random: Random, exercise: Exercise) -> dict[str, Any]:
    settings: dict[str, Any] = {}
    if exercise.defaults.get("bpm") is not None:
        settings["bpm"] = min(exercise.defaults["bpm"], random.choice(TEMPI))
    if exercise.id == "piano.major-scale":
        settings["keys"] = random.sample(KEYS, random.randint(2, len(KEYS)))
    return settings


def _piece(random: Random, place: int) -> dict[str, Any]:
    task: dict[str, Any] = {
        "id": f"piece-{place}",
        "title": f"Piece {place}",
        "area": "repertoire",
        "stage": random.choice(STAGES),
        "strain": random.choice(("low", "low", "low", "moderate")),
        "minutes": random.randint(8, 25),
        "set_up_seconds": random.choice((0, 15, 30)),
        "manner": random.choice(("hands separately, then together", "under tempo, then at it")),
        "done_when": "two clean passes in a row",
        "passages": [_passage(random, number) for number in range(random.randint(2, 7))],
    }
    if random.random() < 0.15:
        task["due"] = f"2027-03-{random.randint(11, 30)}"
    return task


def _passage(random: Random, number: int) -> dict[str, Any]:
    return {
        "id": f"p{number}",
        "label": f"bars {8 * number + 1} to {8 * number + 8}",
        "bars": random.choice((4, 8, 12, 16)),
        "beats_per_bar": random.choice((3, 4)),
        "bpm": random.choice(TEMPI),
        "passes": random.randint(2, 4),
        "pause_seconds": random.choice((0, 5, 10)),
    }


def _blocks(random: Random, tasks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    blocks: list[dict[str, Any]] = []
    while tasks:
        count = random.randint(1, 5)
        block, tasks = tasks[:count], tasks[count:]
        blocks.append({"id": f"block-{len(blocks)}", "title": f"Block {len(blocks) + 1}", "tasks": block})
    return blocks


def _history(random: Random, tasks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "task": task["id"],
            "date": f"2027-03-0{random.randint(1, 9)}",
            "seconds": 60 * random.randint(2, 10),
        }
        for task in tasks
        for _ in range(random.randint(0, 2))
    ]
