"""A school over the API, in this process: callers of each role, and the people that they are."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
from bagatelle import Instruments
from bagatelle_service.school.operators import make_operator_token
from bagatelle_service.settings import Settings

from tests.integration.api_client import ApiClient
from tests.integration.databases import migrate_absent_file
from tests.integration.log_scan import current_scan

BEGINNING = datetime(2027, 3, 1, 8, tzinfo=UTC)


class Clock:
    """A clock that goes on only when told."""

    def __init__(self) -> None:
        self.time = BEGINNING

    def __call__(self) -> datetime:
        return self.time

    def go_on(self, **how_long: float) -> None:
        self.time += timedelta(**how_long)


class As:
    """Somebody who asks with a token."""

    def __init__(self, api: ApiClient, secret: str) -> None:
        self.api = api
        self.secret = secret
        current_scan().register(secret)

    def send(self, method: str, path: str, **options: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.secret}", **options.pop("headers", {})}
        response = self.api.send(method, path, headers=headers, **options)
        note_for_scan(options.get("json"), headers, response)
        return response

    def get(self, path: str, **options: Any) -> httpx.Response:
        return self.send("GET", path, **options)

    def post(self, path: str, json: Any, **options: Any) -> httpx.Response:
        return self.send("POST", path, json=json, **options)

    def put(self, path: str, json: Any, revision: int | None = None, **options: Any) -> httpx.Response:
        headers = {} if revision is None else {"If-Match": f'"{revision}"'}
        return self.send("PUT", path, json=json, headers=headers | options.pop("headers", {}), **options)

    def delete(self, path: str, **options: Any) -> httpx.Response:
        return self.send("DELETE", path, **options)

    def make(self, path: str, json: Any, **options: Any) -> dict[str, Any]:
        """POST what must succeed, and return what the answer says."""
        response = self.post(path, json, **options)
        assert response.status_code == 201, response.text
        made: dict[str, Any] = response.json()
        return made


def note_for_scan(body: Any, headers: dict[str, str], response: httpx.Response) -> None:
    """Register what a request and its answer hold of people and secrets, so that no log line may hold it."""
    scan = current_scan()
    scan.register_members(body)
    scan.register(headers.get("Idempotency-Key", ""))
    if response.content and response.headers.get("content-type", "").startswith("application/json"):
        scan.register_members(response.json())


class Service:
    """The service on a migrated database, or on an SQLite file that is not there yet, with its operator."""

    def __init__(self, database_url: str, clock: Clock, instruments: Instruments, **settings: Any) -> None:
        migrate_absent_file(database_url)
        self.clock = clock
        self.api = ApiClient(Settings(database_url=database_url, **settings), instruments, (), now=clock)
        self.operator = As(self.api, self.api.run(make_operator_token(self.api.storage, clock())))

    def school(self, name: str = "Music school by the river") -> "SchoolOfTest":
        made = self.operator.make("/v1/schools", {"name": name, "owner_name": "Office"})
        return SchoolOfTest(self, made)

    def redeem(self, code: str, **options: Any) -> httpx.Response:
        return self.api.post("/v1/invitations/redemptions", json={"code": code}, **options)


class SchoolOfTest:
    """A school and its owner."""

    def __init__(self, service: Service, made: dict[str, Any]) -> None:
        self.service = service
        self.id: str = made["school"]["id"]
        self.owner = As(service.api, made["secret"])

    def student(self, name: str = "Ilse", **fields: Any) -> dict[str, Any]:
        return self.owner.make("/v1/students", {"display_name": name, "time_zone": "Europe/Oslo", **fields})

    def invite(self, **members: str) -> str:
        """Invite one member, named by `staff`, `student` or `guardian`, and return the code."""
        made = self.owner.make("/v1/invitations", {"invitations": [members]})
        code: str = made["invitations"][0]["code"]
        return code

    def let_in(self, **members: str) -> As:
        """Invite one member, and redeem the code for them."""
        response = self.service.redeem(self.invite(**members))
        assert response.status_code == 201, response.text
        return As(self.service.api, response.json()["secret"])

    def staff(self, role: str = "teacher", name: str = "Low brass") -> dict[str, Any]:
        return self.owner.make("/v1/staff", {"role": role, "display_name": name})

    def teacher(self) -> tuple[str, As]:
        """Make a teacher, and return the id and somebody who asks as the teacher."""
        staff_id: str = self.staff()["id"]
        return staff_id, self.let_in(staff=staff_id)

    def group(self, teachers: list[str], students: list[str], name: str = "Tuesdays") -> dict[str, Any]:
        return self.owner.make("/v1/groups", {"name": name, "teachers": teachers, "students": students})

    def guardian(self, student_id: str, **fields: str) -> dict[str, Any]:
        return self.owner.make(f"/v1/students/{student_id}/guardians", fields)

    def app(self, *scopes: str) -> As:
        made = self.owner.make("/v1/tokens", {"for_whom": "app", "scopes": scopes})
        return As(self.service.api, made["secret"])


@contextmanager
def service_on(
    database_url: str, *, instruments: Instruments | None = None, clock: Clock | None = None, **settings: Any
) -> Iterator[Service]:
    service = Service(database_url, clock or Clock(), instruments or Instruments.none(), **settings)
    try:
        yield service
    finally:
        service.api.close()
