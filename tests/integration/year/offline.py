"""A week without a network: the signed bundle is all that the phone has, and everything is told afterwards."""

import base64
import gzip
import json
from datetime import date
from typing import Any

import msgspec
from bagatelle.card.kinds import ask_of, kind_of_day
from bagatelle.card.sheet import make_sheet
from bagatelle.model.card import Card
from bagatelle.model.request import Circumstances
from bagatelle.model.sheet import MadeFrom
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from msgspec import Struct

from tests.integration.year.phone import entry_of_step, entry_of_task, sync
from tests.integration.year.record import Logged, Record
from tests.integration.year.school_year import SchoolYear, ok, set_day

DAYS_AWAY = 7
GIVEN: tuple[dict[str, Any], ...] = (
    {"minutes": 12},
    {"windows": [{"minutes": 6}, {"minutes": 8}]},
    {"minutes": 15, "energy": "low"},
    {},
    {"minutes": 10, "quiet": True},
    {"minutes": 14},
    {"minutes": 9, "instrument_at_hand": False},
)


class DayAway(Struct, frozen=True):
    """A day of that week."""

    day: date
    body: dict[str, Any]
    sheet: dict[str, Any]
    entries: list[Logged]


class WeekAway:
    """A student who is off the net from one evening on."""

    def __init__(self, year: SchoolYear, record: Record) -> None:
        self.record = record
        self.days: list[DayAway] = []
        self._random = year.random
        today = year.today(record)
        sync_all(record, year)
        record.waiting.append(entry_of_task(year.random, record.current_tasks[0], today, "usual"))
        sync(record, year.random)
        keys = ok(year.service.api.get("/v1/signing-keys"))["keys"]
        response = record.caller.get(f"{record.path}/bundle")
        assert response.status_code == 200, response.text
        self._bundle = read_bundle(response.text, keys)
        record.is_offline = True

    def evening(self, day: date) -> None:
        """Make the day's sheet from the bundle and from what the phone itself remembers, and do most of it."""
        body = GIVEN[len(self.days)]
        sheet = self._sheet(day, body)
        steps = [step for step in sheet["steps"] if step["kind"] == "task"]
        done = steps[: max(1, len(steps) - len(self.days) % 2)]
        entries = [entry_of_step(self._random, self.record, step, day) for step in done]
        self.days.append(DayAway(day, body, sheet, entries))

    def home_again(self) -> None:
        """Tell day by day what each gave and what was done on it: the service makes the same sheets of it."""
        self.record.is_offline = False
        for away in self.days:
            assert set_day(self.record, away.day, away.body)["sheet"] == away.sheet
            self.record.waiting = list(away.entries)
            sync(self.record, self._random)

    def _sheet(self, day: date, body: dict[str, Any]) -> dict[str, Any]:
        given = msgspec.convert(body, Circumstances)
        (card,) = (card for card in self._bundle["cards"] if card["kind"] == kind_of_day(given))
        made_from = MadeFrom(
            card=card["name"], date=day, asks=(ask_of(given),), last_done=self._last_done(day)
        )
        sheet = make_sheet(msgspec.convert(card["card"], Card), made_from)
        made: dict[str, Any] = json.loads(msgspec.json.encode(sheet))
        return made

    def _last_done(self, day: date) -> dict[str, dict[str, date]]:
        found = msgspec.convert(self._bundle["last_done"], dict[str, dict[str, date]])
        if day > date.fromisoformat(self._bundle["date"]):
            for task, units in msgspec.convert(
                self._bundle["done_on_date"], dict[str, dict[str, date]]
            ).items():
                found[task] = found.get(task, {}) | units
        keys = {task.id: task.key for task in self.record.tasks}
        for entry in (entry for away in self.days for entry in away.entries):
            for unit in entry.units if entry.task else ():
                found.setdefault(keys[str(entry.task)], {})[unit] = entry.day
        return found


def read_bundle(signed: str, keys: list[dict[str, str]]) -> dict[str, Any]:
    """Check the signature by the published key (RFC 7515, RFC 8037), and read what is signed."""
    header, payload, signature = signed.split(".")
    (key,) = (key for key in keys if key["kid"] == json.loads(decoded(header))["kid"])
    Ed25519PublicKey.from_public_bytes(decoded(key["x"])).verify(
        decoded(signature), f"{header}.{payload}".encode()
    )
    read: dict[str, Any] = json.loads(gzip.decompress(decoded(payload)))
    return read


def decoded(text: str) -> bytes:
    """RFC 7515, 2: base64url without its padding."""
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def sync_all(record: Record, year: SchoolYear) -> None:
    """Send whatever waits."""
    if record.waiting:
        sync(record, year.random)
