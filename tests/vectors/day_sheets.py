"""The test vectors of the walk: cards, days, and the sheets that come of them, for any language to be held to."""

import datetime as dt
import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any, Final

import msgspec
from bagatelle import Ask, Card, DaySheet, MadeFrom, load_instruments, make_sheet, prepare_all
from bagatelle.model.errors import NotMoreTimeError
from bagatelle.model.sheet import AskedWindow
from msgspec.structs import replace

from tests.card_strategies import DAY, ask_of_seconds, made_day, made_last_done
from tests.seeded import seeded
from tests.strategies import request_of

FILE: Final = Path(__file__).with_name("day_sheets.json")
MADE_UP: Final = 36
"""Cards that no engine made, each with a day of its own."""
ROUTINE: Final[dict[str, Any]] = {
    "instrument": "piano",
    "date": str(DAY),
    "routine": {
        "title": "Evenings of Ilka, in her third year",
        "blocks": [
            {
                "title": "Hands",
                "tasks": [
                    {"id": "warm", "exercise": "piano.five-finger", "minutes": 4},
                    {
                        "id": "scales",
                        "exercise": "piano.major-scale",
                        "settings": {"keys": ["C", "G", "D"]},
                        "minutes": 6,
                    },
                    {"id": "octaves", "exercise": "piano.octaves", "minutes": 4},
                ],
            },
            {
                "title": "Pieces",
                "tasks": [
                    {
                        "id": "barcarolle",
                        "title": "Barcarolle",
                        "stage": "refining",
                        "minutes": 14,
                        "manner": "slowly, hands together",
                        "done_when": "two clean passes in a row",
                        "passages": [
                            {"id": "a", "label": "bars 1 to 16", "bars": 16, "bpm": 60, "passes": 2},
                            {
                                "id": "b",
                                "label": "bars 17 to 32",
                                "bars": 16,
                                "bpm": 72,
                                "passes": 2,
                                "security": "low",
                            },
                            {"id": "c", "label": "the coda", "bars": 8, "bpm": 54, "passes": 3},
                        ],
                    },
                    {"id": "tune-1", "title": "Tune one", "stage": "maintaining", "minutes": 4},
                    {"id": "tune-2", "title": "Tune two", "stage": "maintaining", "minutes": 4},
                    {"id": "tune-3", "title": "Tune three", "stage": "maintaining", "minutes": 4},
                ],
            },
        ],
    },
}


class Case(msgspec.Struct, frozen=True, kw_only=True):
    """One day of one card. No sheet where the day is refused, as it does not grow."""

    name: str
    card: int
    made_from: MadeFrom
    sheet: DaySheet | None


class Vectors(msgspec.Struct, frozen=True, kw_only=True):
    """The whole file."""

    cards: tuple[Card, ...]
    cases: tuple[Case, ...]


@cache
def vectors() -> Vectors:
    """Make all of them."""
    cards: list[Card] = []
    cases: list[Case] = []
    for card in prepare_all(request_of(ROUTINE), load_instruments()).cards:
        cases += [_case(f"{card.kind}, {name}", len(cards), card, day) for name, day in _days(card)]
        cards.append(card)
    for number in range(MADE_UP):
        card, day = made_day(number, asks=3)
        cases.append(_case(f"made up, {number}", len(cards), card, day))
        cards.append(card)
    return Vectors(cards=tuple(cards), cases=tuple(cases))


def _days(card: Card) -> Iterable[tuple[str, MadeFrom]]:
    """Days that ask a card for all that the rule tells."""
    done = made_last_done(seeded(f"last days, {card.kind}"), card)
    lengths = {
        "no time given": (),
        "one window": (900,),
        "two scraps": (300, 300),
        "uneven windows": (200, 1300, 420),
        "almost nothing": (40,),
        "more than short": (2700,),
    }
    for name, seconds in lengths.items():
        yield name, MadeFrom(card=card.kind, date=DAY, asks=(ask_of_seconds(*seconds),), last_done=done)
    named = Ask(
        windows=(AskedWindow(seconds=480, starts_at="07:40"), AskedWindow(seconds=360, starts_at="18:05"))
    )
    yield "nothing done before", MadeFrom(card=card.kind, date=DAY, asks=(named,))
    grown = (
        Ask(),
        ask_of_seconds(card.quarter_seconds + 300, 600),
        ask_of_seconds(card.quarter_seconds + 900, 600),
    )
    if len(card.quarter_windows) == 1:
        yield "grown twice", MadeFrom(card=card.kind, date=DAY, asks=grown, last_done=done)
    shrunk = (ask_of_seconds(600, 300), ask_of_seconds(900))
    yield "taken back", MadeFrom(card=card.kind, date=DAY, asks=shrunk)
    later = {task: dict.fromkeys(units, DAY + dt.timedelta(days=1)) for task, units in done.items()}
    yield "logged ahead", MadeFrom(card=card.kind, date=DAY, asks=(ask_of_seconds(600),), last_done=later)


def _case(name: str, place: int, card: Card, made_from: MadeFrom) -> Case:
    made_from = replace(made_from, card=str(place))
    try:
        sheet = make_sheet(card, made_from)
    except NotMoreTimeError:
        sheet = None
    return Case(name=name, card=place, made_from=made_from, sheet=sheet)


def text_of(made: Vectors) -> str:
    """The file: a line for each card and each case, so that a change shows where it is."""
    parts = {"cards": made.cards, "cases": made.cases}
    lists = [
        f'"{name}": [\n'
        + ",\n".join(json.dumps(msgspec.to_builtins(each), ensure_ascii=False) for each in of)
        + "\n]"
        for name, of in parts.items()
    ]
    return "{\n" + ",\n".join(lists) + "\n}\n"
