"""Entries sent together: all or none, known where they are there already, in whatever order and however often."""

import datetime as dt
from collections.abc import Iterator
from operator import itemgetter
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle_service.database.tables import LogEntry
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import inspect, select

from tests.integration.databases import database_of_kind
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest, service_on

FREE = {"day": "2027-03-01", "kind": "free", "seconds": 900}
KINDS = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)]


@pytest.fixture
def logs(school: SchoolOfTest) -> str:
    return f"/v1/students/{school.student()['id']}/logs"


def entry(**changes: Any) -> dict[str, Any]:
    return {**FREE, "id": str(uuid4()), **changes}


def rows_of(school: SchoolOfTest, logs: str) -> list[tuple[Any, ...]]:
    """All that is stored of a student's entries."""
    names = {column.key for column in inspect(LogEntry).columns} - {"id", "student_id"}
    columns = [LogEntry.id, *(getattr(LogEntry, name) for name in sorted(names))]

    async def read() -> list[tuple[Any, ...]]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            of_student = LogEntry.student_id == UUID(logs.split("/")[3])
            found = await session.execute(select(*columns).where(of_student))
            return sorted((tuple(row) for row in found), key=itemgetter(0))

    return school.service.api.run(read())


def test_a_batch_is_stored_and_known(school: SchoolOfTest, logs: str) -> None:
    entries = [entry(seconds=seconds) for seconds in range(1, 6)]
    response = school.owner.post(logs, {"entries": entries[:3]})
    assert (response.status_code, response.headers["location"]) == (201, logs)
    assert response.json() == {"stored": 3, "known": 0, "removed": 0}
    overlapping = {"entries": [entries[4], *entries[1:4], entries[1], entries[4]]}
    assert school.owner.make(logs, overlapping) == {"stored": 2, "known": 4, "removed": 0}
    listed = school.owner.get(logs).json()["entries"]
    assert sorted(each["seconds"] for each in listed) == [1, 2, 3, 4, 5]
    # What came in a batch may come by itself, and the other way round.
    alone = {name: value for name, value in entries[0].items() if name != "id"}
    again = school.owner.put(f"{logs}/{entries[0]['id']}", alone)
    assert (again.status_code, again.json()["revision"]) == (200, 1)


def test_one_wrong_entry_stops_all_and_each_is_named(school: SchoolOfTest, logs: str) -> None:
    entries = [
        entry(),
        entry(seconds=0),
        entry(task=str(uuid4()), units=["x"]),
        entry(day="2031-01-01"),
        entry(),
    ]
    problem = problem_in(school.owner.post(logs, {"entries": entries}), "invalid-input")
    assert pointers(problem) == ["/entries/1/seconds", "/entries/2/task", "/entries/3/day"]
    assert school.owner.get(logs).json()["entries"] == []
    assert school.owner.make(logs, {"entries": [entries[0], entries[4]]})["stored"] == 2


def test_other_content_under_an_id_stops_all(school: SchoolOfTest, logs: str) -> None:
    first, new = entry(), entry()
    school.owner.make(logs, {"entries": [first]})
    other = {**first, "seconds": 5}
    problem = problem_in(school.owner.post(logs, {"entries": [new, other]}), "stored-otherwise")
    assert pointers(problem) == ["/entries/1"]
    assert "revision 1" in problem["errors"][0]["message"]
    problem = problem_in(school.owner.post(logs, {"entries": [new, {**new, "seconds": 5}]}), "invalid-input")
    assert pointers(problem) == ["/entries/1"]
    assert [each["id"] for each in school.owner.get(logs).json()["entries"]] == [first["id"]]


def test_how_many(school: SchoolOfTest, logs: str) -> None:
    thousand = [entry() for _ in range(1000)]
    assert school.owner.make(logs, {"entries": thousand})["stored"] == 1000
    problem = problem_in(school.owner.post(logs, {"entries": [*thousand, entry()]}), "invalid-input")
    assert pointers(problem) == ["/entries"]
    assert pointers(problem_in(school.owner.post(logs, {"entries": []}), "invalid-input")) == ["/entries"]
    assert school.owner.make(logs, {"entries": thousand})["known"] == 1000


def test_the_same_post_twice(school: SchoolOfTest, logs: str) -> None:
    body, headers = {"entries": [entry()]}, {"Idempotency-Key": "one"}
    answers = [school.owner.post(logs, body, headers=headers) for _ in range(2)]
    assert [answer.json()["stored"] for answer in answers] == [1, 1]
    assert school.owner.make(logs, body)["known"] == 1


def test_batches_at_once(school: SchoolOfTest, logs: str) -> None:
    """Six phones send what overlaps at the same time: each entry is stored once, nobody is sent away."""
    entries = [entry(seconds=seconds) for seconds in range(1, 41)]
    headers = {"Authorization": f"Bearer {school.owner.secret}"}
    requests = [
        ("POST", logs, {"json": {"entries": entries[5 * turn : 5 * turn + 15]}, "headers": headers})
        for turn in range(6)
    ]
    answers = school.service.api.send_all(requests)
    assert [answer.status_code for answer in answers] == [201] * 6
    assert sum(answer.json()["stored"] for answer in answers) == 40
    assert sorted(
        each["seconds"] for each in school.owner.get(f"{logs}?limit=200").json()["entries"]
    ) == list(range(1, 41))


@pytest.fixture(scope="module", params=KINDS)
def lasting(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[SchoolOfTest]:
    """A school for all examples of the law; each has a student of its own."""
    folder: Path = tmp_path_factory.mktemp("batches")
    with (
        database_of_kind(request.param, folder) as url,
        service_on(url, requests_a_minute=100_000) as service,
    ):
        yield service.school()


@given(
    days=st.lists(st.dates(dt.date(2026, 1, 1), dt.date(2027, 3, 1)), min_size=1, max_size=8),
    deliveries=st.lists(st.lists(st.integers(0, 7), min_size=1, max_size=10), max_size=5),
    order=st.permutations(range(8)),
)
@settings(deadline=None, max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_order_and_doubling_leave_the_same_rows(
    lasting: SchoolOfTest, days: list[dt.date], deliveries: list[list[int]], order: list[int]
) -> None:
    """However a student's entries are delivered, alone or together, the rows are those of one delivery of all."""
    plain = [
        {"day": day.isoformat(), "kind": ("usual", "short", "free")[place % 3], "seconds": 60 + place}
        for place, day in enumerate(days)
    ]
    ids = [[str(uuid4()) for _ in plain] for _ in range(2)]
    once, often = (f"/v1/students/{lasting.student()['id']}/logs" for _ in range(2))
    lasting.owner.make(once, {"entries": [{**one, "id": ids[0][place]} for place, one in enumerate(plain)]})
    rest = [place for place in order if place < len(plain)]
    for delivery in [*([place % len(plain) for place in each] for each in deliveries), rest]:
        if len(delivery) == 1:
            (place,) = delivery
            answer = lasting.owner.put(f"{often}/{ids[1][place]}", plain[place])
            assert answer.status_code in (200, 201)
        else:
            entries = [{**plain[place], "id": ids[1][place]} for place in delivery]
            counts = lasting.owner.make(often, {"entries": entries})
            assert counts["stored"] + counts["known"] == len(delivery)
    expected = dict(zip(ids[0], ids[1], strict=True))
    rows = [(UUID(expected[str(row_id)]), *row) for row_id, *row in rows_of(lasting, once)]
    assert sorted(rows, key=itemgetter(0)) == rows_of(lasting, often)
