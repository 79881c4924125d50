"""Laws of day sheets: what a growing day holds stays; what is stored is made again to the byte."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from uuid import UUID

import msgspec
import pytest
from bagatelle.model.card import Card
from bagatelle_service.database.tables import DaySheet
from bagatelle_service.school.prepared_plans import find_plan, read_plan
from bagatelle_service.school.sheet_checking import CheckedSheet, check_sheets
from bagatelle_service.school.sheet_making import made_again
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.integration.databases import database_of_kind, sqlite_url
from tests.integration.owners_work import work_of
from tests.integration.prepared_school import INSTRUMENTS, TODAY, Prepared, keeps
from tests.integration.school import Service, service_on
from tests.integration.serving import run_command

LENGTHS = st.integers(2, 40).map(lambda halves: halves / 2)
KINDS_OF_DAY: list[dict[str, Any]] = [{}, {"energy": "low"}, {"quiet": True}, {"instrument_at_hand": False}]
CIRCUMSTANCES = st.sampled_from(KINDS_OF_DAY)
UNITS = {
    "scales": ["C", "G", "D", "A", "E", "B"],
    "barcarolle": [f"part-{number}" for number in range(1, 7)],
    "march": [f"strain-{number}" for number in range(1, 5)],
}
LOGS = st.lists(
    st.tuples(st.sampled_from(sorted(UNITS)), st.sets(st.integers(0, 3), min_size=1), st.integers(-9, 2)),
    max_size=6,
)


@st.composite
def growing_days(draw: st.DrawFn) -> list[dict[str, Any]]:
    """What a day gives, each time at least as much as before."""
    lengths = draw(st.lists(LENGTHS, min_size=1, max_size=3))
    circumstances = draw(CIRCUMSTANCES)
    asks = []
    for _ in range(draw(st.integers(1, 4))):
        asks.append({**circumstances, "windows": [{"minutes": length} for length in lengths]})
        lengths = [length + draw(st.sampled_from([0, 0.5, 3, 8])) for length in lengths]
        lengths += draw(st.lists(LENGTHS, max_size=1))
    return asks


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def running(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    with (
        database_of_kind(request.param, tmp_path_factory.mktemp("law")) as url,
        service_on(url, instruments=INSTRUMENTS, requests_a_minute=100_000) as service,
    ):
        yield service


def log_all(student: Prepared, logs: list[tuple[str, set[int], int]], today: date) -> None:
    for task, places, days in logs:
        student.log(task, [UNITS[task][place] for place in sorted(places)], today + timedelta(days=days))


def made_again_from_store(student: Prepared, row: DaySheet) -> str:
    """Make a stored sheet again from what the database has of its plan, and of what else it was made from."""
    school = student.school

    async def find() -> str:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            work = work_of(school, session)
            plan = await read_plan(work, await find_plan(work, row.plan_id), row.plan_revision)
            return made_again(msgspec.json.decode(plan.card, type=Card), row.made_from)

    return school.service.api.run(find())


@given(growing_days(), LOGS, LOGS)
@settings(max_examples=12, deadline=None, derandomize=True, database=None)
def test_a_day_that_grows_keeps_what_it_held(
    running: Service,
    asks: list[dict[str, Any]],
    logs: list[tuple[str, set[int], int]],
    late: list[tuple[str, set[int], int]],
) -> None:
    """Whatever was logged before the first sheet, and whatever comes in between the others."""
    student = Prepared(running.school())
    log_all(student, logs, TODAY)
    answers = []
    for ask in asks:
        answers.append(student.put(ask))
        log_all(student, late, TODAY)
    assert all(keeps(earlier, later) for earlier, later in pairwise(answers))
    assert student.put(asks[-1]) == answers[-1]
    (row,) = student.stored()
    assert made_again_from_store(student, row) == row.body


@given(st.lists(st.tuples(growing_days(), st.integers(-3, 3)), min_size=1, max_size=4), LOGS)
@settings(max_examples=12, deadline=None, derandomize=True, database=None)
def test_every_stored_sheet_is_made_again_to_the_byte(
    running: Service, days: list[tuple[list[dict[str, Any]], int]], logs: list[tuple[str, set[int], int]]
) -> None:
    student = Prepared(running.school())
    for asks, offset in days:
        log_all(student, logs, TODAY)
        for ask in asks:
            # Where the day had a sheet of other circumstances, it is made anew.
            path = student.day(TODAY + timedelta(days=offset))
            known = student.school.owner.get(path).headers.get("etag")
            headers = {"If-Match": known} if known is not None else {}
            assert student.school.owner.put(path, ask, headers=headers).status_code == 200
    rows = student.stored()
    assert len(rows) == len({offset for _, offset in days})
    assert [made_again_from_store(student, row) for row in rows] == [row.body for row in rows]


def checked(service: Service) -> list[CheckedSheet]:
    async def gather() -> list[CheckedSheet]:
        return [each async for each in check_sheets(service.api.storage)]

    return service.api.run(gather())


def test_the_operator_makes_every_sheet_again(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path)
    with service_on(url, instruments=INSTRUMENTS) as service:
        students = [Prepared(service.school(name)) for name in ("One", "Another")]
        for student in students:
            student.put({"minutes": 10})
            student.put({"minutes": 12}, TODAY + timedelta(days=1))
        assert [each.is_same for each in checked(service)] == [True] * 4
    done = run_command(tmp_path, "sheets", "check", BAGATELLE_DATABASE_URL=url)
    assert (done.returncode, done.stdout) == (0, "Sheets made again: 4 the same, 0 otherwise.\n")
    with service_on(url, instruments=INSTRUMENTS) as service:
        school_id = UUID(students[0].school.id)

        async def spoil() -> None:
            async with service.api.storage.write(school_id) as session:
                row = await session.get_one(DaySheet, (school_id, UUID(students[0].student), TODAY))
                row.body += " "
                row.revision += 1

        service.api.run(spoil())
    done = run_command(tmp_path, "sheets", "check", BAGATELLE_DATABASE_URL=url)
    assert done.returncode == 1
    first, last = done.stdout.splitlines()
    assert first == f"Of another content: school {school_id}, {TODAY}"
    assert last == "Sheets made again: 3 the same, 1 otherwise."
