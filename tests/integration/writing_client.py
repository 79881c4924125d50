"""A client that goes on writing students through restarts of the service, and knows what it was told."""

import threading
import time
from collections.abc import Callable
from typing import Any

import httpx
from msgspec import Struct

from tests.integration.log_scan import LogScan
from tests.seeded import seeded

PAUSE_SECONDS = 0.1
PATIENCE_SECONDS = 60.0


class Acknowledged(Struct):
    """A student as the service last said it is."""

    id: str
    display_name: str
    revision: int


class WritingClient(threading.Thread):
    """Makes students, each by a POST under an Idempotency-Key, and changes them, until it is told to stop.

    What gets no answer is sent again: a POST as it was, a PUT after a look at what has become of it.
    """

    def __init__(
        self, number: int, where: Callable[[], str], headers: dict[str, str], scan: LogScan, changes: int = 2
    ) -> None:
        super().__init__(name=f"client {number}")
        self.number = number
        self.students: list[Acknowledged] = []
        self.requests = 0
        self.repeats = 0
        self.unexpected: list[str] = []
        self.fault: BaseException | None = None
        self.stopping = threading.Event()
        self._where = where
        self._headers = headers
        self._scan = scan
        self._changes = changes
        self._random = seeded(f"writing client {number}")
        self._http = httpx.Client(timeout=PATIENCE_SECONDS)

    def run(self) -> None:
        try:
            while not self.stopping.is_set():
                student = self._make(f"Client {self.number} student {len(self.students)}")
                self.students.append(student)
                for _ in range(self._random.randrange(self._changes + 1)):
                    self._change(student)
        except BaseException as fault:  # the test raises it again
            self.fault = fault
        finally:
            self._http.close()

    def _make(self, name: str) -> Acknowledged:
        key = f"key-of-{name.replace(' ', '-')}"
        body = {"display_name": name, "time_zone": "Europe/Oslo"}
        self._scan.register(name, key)
        response = self._until_answered(
            lambda: self._send("POST", "/v1/students", body, {"Idempotency-Key": key})
        )
        return self._acknowledged(response, 201)

    def _change(self, student: Acknowledged) -> None:
        name = f"Client {self.number} changed {student.revision} of {student.id}"
        body = {"display_name": name, "time_zone": "Europe/Oslo"}
        self._scan.register(name)

        def put() -> httpx.Response:
            seen = self._send("GET", path, None, {})
            if seen.status_code == 200 and seen.json()["display_name"] == name:
                return seen  # it had been done, and only the answer was lost
            return self._send("PUT", path, body, {"If-Match": f'"{student.revision}"'})

        path = f"/v1/students/{student.id}"
        done = self._acknowledged(self._until_answered(put), 200)
        student.display_name, student.revision = done.display_name, done.revision

    def _send(self, method: str, path: str, body: Any, headers: dict[str, str]) -> httpx.Response:
        self.requests += 1
        return self._http.request(
            method, self._where() + path, json=body, headers={**self._headers, **headers}
        )

    def _until_answered(self, ask: Callable[[], httpx.Response]) -> httpx.Response:
        until = time.monotonic() + PATIENCE_SECONDS
        while True:
            try:
                return ask()
            except httpx.TransportError:
                if time.monotonic() > until:
                    raise
                self.repeats += 1
                time.sleep(PAUSE_SECONDS)

    def _acknowledged(self, response: httpx.Response, status: int) -> Acknowledged:
        if response.status_code != status:
            self.unexpected.append(f"{response.status_code} {response.text}")
            raise AssertionError(self.unexpected[-1])
        student = response.json()
        self._scan.register(student["id"])
        return Acknowledged(student["id"], student["display_name"], student["revision"])
