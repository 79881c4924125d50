"""Two services on one PostgreSQL, each in a process of its own: what they share is in the database."""

import asyncio
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple
from uuid import UUID

import httpx
import pytest
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import PermitWindow
from sqlalchemy import select

from tests.integration.databases import postgresql_with_two_roles
from tests.integration.school import SchoolOfTest, note_for_scan, service_on
from tests.integration.served_school import ServedSchool, school_on
from tests.integration.serving import ServedProcess

pytestmark = [pytest.mark.postgresql]
LIMIT = 40
AT_ONCE = 8


class TwoServices(NamedTuple):
    school: ServedSchool
    urls: tuple[str, str]

    def ask_both(self, ask: Callable[[str, int], httpx.Response], count: int) -> list[httpx.Response]:
        """Ask each service so many times, several at a time."""
        with ThreadPoolExecutor(2 * AT_ONCE) as pool:
            asked = [pool.submit(ask, url, number) for number in range(count) for url in self.urls]
            return [one.result() for one in asked]


@pytest.fixture
def limit() -> int:
    return LIMIT


@pytest.fixture
def two(tmp_path: Path, limit: int) -> Iterator[TwoServices]:
    with postgresql_with_two_roles() as urls:
        school = school_on(urls)
        settings = school.settings(BAGATELLE_REQUESTS_A_MINUTE=str(limit))
        folders = [tmp_path / name for name in ("one", "other")]
        for folder in folders:
            folder.mkdir()
        processes = [ServedProcess(folder, **settings) for folder in folders]
        try:
            for process in processes:
                process.wait_until_live()
            yield TwoServices(school, (processes[0].url, processes[1].url))
        finally:
            for process in processes:
                process.stop()


def wait_for_the_first_half_of_a_minute() -> datetime:
    """So that what follows is of one minute."""
    while (now := datetime.now(UTC)).second >= 30:
        time.sleep(60.2 - now.second)
    return now.replace(second=0, microsecond=0)


@pytest.mark.slow
def test_the_limit_of_a_token_holds_over_both_and_is_new_each_minute(two: TwoServices) -> None:
    def ask(url: str, _: int) -> httpx.Response:
        return httpx.get(f"{url}/v1/students", headers=two.school.headers, timeout=30)

    minute = wait_for_the_first_half_of_a_minute()
    answers = two.ask_both(ask, LIMIT)
    assert datetime.now(UTC).replace(second=0, microsecond=0) == minute, "too slow a machine for this"
    counted = Counter(answer.status_code for answer in answers)
    # Both are asked until nothing is left, so that nothing is held back either.
    assert counted == {200: LIMIT, 429: LIMIT}
    waits = {int(answer.headers["retry-after"]) for answer in answers if answer.status_code == 429}
    assert all(1 <= wait <= 60 for wait in waits)
    time.sleep(60.2 - datetime.now(UTC).second)
    assert {answer.status_code for answer in two.ask_both(ask, 2)} == {200}


class TestOneKey:
    @pytest.fixture
    def limit(self) -> int:
        return 100_000

    def test_sent_to_both_at_once_makes_one(self, two: TwoServices) -> None:
        """The same POST under the same Idempotency-Key, eight times to each."""
        for turn in range(10):
            body = {"display_name": f"Balthasar the {turn}th", "time_zone": "UTC"}
            headers = {**two.school.headers, "Idempotency-Key": f"key-of-turn-{turn}"}
            at_once = threading.Barrier(2 * AT_ONCE)

            def ask(
                url: str,
                _: int,
                body: dict[str, str] = body,
                headers: dict[str, str] = headers,
                at_once: threading.Barrier = at_once,
            ) -> httpx.Response:
                at_once.wait()
                return httpx.post(f"{url}/v1/students", json=body, headers=headers, timeout=30)

            answers = two.ask_both(ask, AT_ONCE)
            for answer in answers:
                note_for_scan(body, headers, answer)
            assert [answer.text for answer in answers if answer.status_code != 201] == []
            assert len({answer.content for answer in answers}) == 1
            assert len({answer.headers["location"] for answer in answers}) == 1
        listed = httpx.get(f"{two.urls[0]}/v1/students", headers=two.school.headers).json()["students"]
        assert sorted(student["display_name"] for student in listed) == sorted(
            f"Balthasar the {turn}th" for turn in range(10)
        )

    def test_an_invitation_sent_to_both_at_once_opens_once(self, two: TwoServices) -> None:
        headers = two.school.headers
        for turn in range(10):
            person = {"display_name": f"Melchior the {turn}th", "time_zone": "UTC"}
            student = httpx.post(f"{two.urls[0]}/v1/students", json=person, headers=headers).json()
            asked = {"invitations": [{"student": student["id"]}]}
            invited = httpx.post(f"{two.urls[1]}/v1/invitations", json=asked, headers=headers)
            code = invited.json()["invitations"][0]["code"]
            at_once = threading.Barrier(2 * AT_ONCE)

            def redeem(
                url: str, _: int, code: str = code, at_once: threading.Barrier = at_once
            ) -> httpx.Response:
                at_once.wait()
                return httpx.post(f"{url}/v1/invitations/redemptions", json={"code": code}, timeout=30)

            answers = two.ask_both(redeem, AT_ONCE)
            for answer in (invited, *answers):
                note_for_scan(person, headers, answer)
            assert Counter(answer.status_code for answer in answers) == {201: 1, 410: 2 * AT_ONCE - 1}


def test_requests_at_once_take_one_part_of_the_minute_together(any_database_url: str) -> None:
    """What one process holds back from the others is one part, however many requests it begins with."""

    async def granted(school: SchoolOfTest) -> int:
        engine = connect(database_url(any_database_url))
        try:
            async with Storage(engine).read(UUID(school.id)) as session:
                return sum(await session.scalars(select(PermitWindow.granted)))
        finally:
            await engine.dispose()

    with service_on(any_database_url, requests_a_minute=600) as service:
        school = service.school()
        before = asyncio.run(granted(school))
        headers = {"Authorization": f"Bearer {school.owner.secret}"}
        answers = service.api.send_all([("GET", "/v1/students", {"headers": headers}) for _ in range(20)])
        assert {answer.status_code for answer in answers} == {200}
        assert asyncio.run(granted(school)) - before == 600 // 20
