"""Schools are kept apart twice: by the service's filter, and by PostgreSQL's rows with the filter taken out.

All sessions share one pooled connection and alternate between schools, so that whatever a transaction leaves behind
would be met by the next.
"""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from typing import Any, NamedTuple
from uuid import UUID, uuid4

import pytest
from bagatelle_service.database import storage as storage_module
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.database.storage import OtherSchoolError, Storage, enter_school
from bagatelle_service.database.tables import Invitation, OperatorToken, School, SchoolBound, Table, Token
from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.engine import CursorResult
from sqlalchemy.ext.asyncio import AsyncSession, create_async_engine

from tests.integration.databases import postgresql_with_two_roles, sqlite_url
from tests.integration.row_of_each_table import MOMENT, school_bound, values_of_each_table

NOT_THE_SCHOOLS = "42501"
"""insufficient_privilege: what a row that breaks a policy is refused with (PostgreSQL 15, appendix A)."""
EACH_TABLE = pytest.mark.parametrize("kind", school_bound(), ids=lambda kind: kind.__tablename__)
FOUND_BY_SECRET = [
    kind for kind in school_bound() if kind.__tablename__ in ("identity", "token", "invitation")
]


class TwoSchools(NamedTuple):
    """A database with a row of each table in each of two schools."""

    storage: Storage
    one: UUID
    other: UUID
    rows: dict[UUID, dict[type[SchoolBound], dict[str, Any]]]
    run: Callable[[Any], Any]

    def key(self, school_id: UUID, kind: type[SchoolBound]) -> tuple[Any, ...]:
        columns = Table.metadata.tables[kind.__tablename__].primary_key.columns
        return tuple(self.rows[school_id][kind][column.name] for column in columns)


@pytest.fixture(scope="module")
def on_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TwoSchools]:
    with asyncio.Runner() as runner:
        engine = connect(database_url(sqlite_url(tmp_path_factory.mktemp("rows"))))
        runner.run(upgrade(engine))
        try:
            yield runner.run(two_schools(Storage(engine), runner.run))
        finally:
            runner.run(engine.dispose())


@pytest.fixture(scope="module")
def on_postgresql() -> Iterator[TwoSchools]:
    """PostgreSQL over one connection of the role that serves."""
    with postgresql_with_two_roles() as urls, asyncio.Runner() as runner:
        owner = connect(database_url(urls.owner_url))
        runner.run(upgrade(owner, role=urls.service_role))
        runner.run(owner.dispose())
        engine = create_async_engine(
            database_url(urls.service_url), pool_size=1, max_overflow=0, hide_parameters=True
        )
        try:
            yield runner.run(two_schools(Storage(engine), runner.run))
        finally:
            runner.run(engine.dispose())


@pytest.fixture
def by_rows_alone(on_postgresql: TwoSchools, monkeypatch: pytest.MonkeyPatch) -> TwoSchools:
    """PostgreSQL without the service's own filter, for this one test."""
    monkeypatch.setattr(storage_module, "school_filter", lambda _: ())
    return on_postgresql


async def two_schools(storage: Storage, run: Callable[[Any], Any]) -> TwoSchools:
    made = {}
    for school_id in (uuid4(), uuid4()):
        made[school_id] = values_of_each_table(school_id)
        async with storage.operate(school_id) as session:
            session.add(a_school(school_id))
            await session.flush()
            for kind, values in made[school_id].items():
                session.add(kind(**values))
                await session.flush()
    one, other = made
    return TwoSchools(storage, one, other, made, run)


def a_school(school_id: UUID) -> School:
    return School(
        id=school_id, name="Any", keeps_health_facts=False, retention_days=None, revision=1, created_at=MOMENT
    )


async def schools_seen(session: AsyncSession, kind: type[SchoolBound]) -> set[UUID]:
    return set(await session.scalars(select(kind.school_id)))


async def count_of(session: AsyncSession, statement: Any) -> int:
    result = await session.execute(statement)
    assert isinstance(result, CursorResult)
    return result.rowcount


async def refused(act: Callable[[], Awaitable[object]]) -> bool:
    """Tell whether the database refused; what it did is taken back otherwise, by the caller's assertion."""
    try:
        await act()
    except (StorageError, OtherSchoolError):
        return True
    return False


async def walk(schools: TwoSchools, kind: type[SchoolBound]) -> None:
    """Read, change and delete as one school and the other by turns, and as nobody between."""
    for mine, theirs in ((schools.one, schools.other), (schools.other, schools.one)) * 2:
        async with schools.storage.read(mine) as session:
            assert await schools_seen(session, kind) == {mine}
            assert await session.scalar(select(func.count()).select_from(kind)) == 1
            assert await session.get(kind, schools.key(theirs, kind)) is None
            assert list(await session.scalars(select(kind).where(kind.school_id == theirs))) == []
            assert (await session.get(kind, schools.key(mine, kind))) is not None
        async with schools.storage.read_presented(b"") as session:
            assert await schools_seen(session, kind) == set()
        async with schools.storage.operate() as session:
            assert await schools_seen(session, kind) == set()
            assert await count_of(session, delete(kind)) == 0
        async with schools.storage.write(mine) as session:
            of_theirs = kind.school_id == theirs
            assert await count_of(session, delete(kind).where(of_theirs)) == 0
            assert await count_of(session, update(kind).where(of_theirs).values(school_id=mine)) == 0
    async with schools.storage.read(schools.other) as session:
        assert (await session.get(kind, schools.key(schools.other, kind))) is not None


async def raw_count(schools: TwoSchools, table: str) -> int:
    """Count without saying anything first, as a query outside every session would."""
    async with schools.storage.engine.connect() as connection:
        return int(
            (await connection.scalar(select(func.count()).select_from(Table.metadata.tables[table]))) or 0
        )


def test_the_walk_leaves_no_table_out() -> None:
    names = {table.name for table in Table.metadata.tables.values() if "school_id" in table.columns}
    assert {kind.__tablename__ for kind in school_bound()} == names
    assert len(names) >= 19


@EACH_TABLE
def test_on_sqlite_the_filter_shows_one_school(on_sqlite: TwoSchools, kind: type[SchoolBound]) -> None:
    on_sqlite.run(walk(on_sqlite, kind))


@EACH_TABLE
def test_on_sqlite_no_row_of_another_school_is_written(
    on_sqlite: TwoSchools, kind: type[SchoolBound]
) -> None:
    async def add_theirs() -> None:
        async with on_sqlite.storage.write(on_sqlite.one) as session:
            session.add(kind(**values_of_each_table(on_sqlite.other)[kind]))

    async def move_mine() -> None:
        async with on_sqlite.storage.write(on_sqlite.one) as session:
            row = await session.get(kind, on_sqlite.key(on_sqlite.one, kind))
            assert row is not None
            row.school_id = on_sqlite.other

    assert on_sqlite.run(refused(add_theirs))
    assert on_sqlite.run(refused(move_mine))
    on_sqlite.run(walk(on_sqlite, kind))


@pytest.mark.postgresql
@EACH_TABLE
def test_rows_alone_show_one_school(by_rows_alone: TwoSchools, kind: type[SchoolBound]) -> None:
    by_rows_alone.run(walk(by_rows_alone, kind))
    assert by_rows_alone.run(raw_count(by_rows_alone, kind.__tablename__)) == 0


@pytest.mark.postgresql
@EACH_TABLE
def test_rows_alone_refuse_what_is_another_schools(
    by_rows_alone: TwoSchools, kind: type[SchoolBound]
) -> None:
    one, other, storage = by_rows_alone.one, by_rows_alone.other, by_rows_alone.storage
    theirs = by_rows_alone.rows[other][kind]

    async def insert_theirs() -> None:
        async with storage.write(one) as session:
            await session.execute(insert(kind).values(**values_of_each_table(other)[kind]))

    async def insert_as_nobody() -> None:
        async with storage.operate() as session:
            await session.execute(insert(kind).values(**theirs))

    async def move_mine() -> None:
        async with storage.write(one) as session:
            await session.execute(update(kind).where(kind.school_id == one).values(school_id=other))

    for act in (insert_theirs, insert_as_nobody, move_mine):
        with pytest.raises(StorageError, match=NOT_THE_SCHOOLS):
            by_rows_alone.run(act())
        # The failed transaction left nothing behind in the connection.
        by_rows_alone.run(walk(by_rows_alone, kind))


async def walk_schools(schools: TwoSchools) -> None:
    """A school sees itself, the operator all, and nobody none."""
    one, other, storage = schools.one, schools.other, schools.storage
    for mine, theirs in ((one, other), (other, one)) * 2:
        async with storage.write(mine) as session:
            assert set(await session.scalars(select(School.id))) == {mine}
            assert await session.get(School, theirs) is None
            assert await count_of(session, update(School).where(School.id == theirs).values(name="x")) == 0
            assert await count_of(session, delete(School).where(School.id == theirs)) == 0
        async with storage.read_presented(b"") as session:
            assert list(await session.scalars(select(School.id))) == []
        async with storage.operate(writes=False) as session:
            assert set(await session.scalars(select(School.id))) == {one, other}


def test_on_sqlite_the_filter_shows_a_school_itself_alone(on_sqlite: TwoSchools) -> None:
    async def make_another() -> None:
        async with on_sqlite.storage.write(on_sqlite.one) as session:
            session.add(a_school(uuid4()))

    on_sqlite.run(walk_schools(on_sqlite))
    with pytest.raises(OtherSchoolError):
        on_sqlite.run(make_another())
    on_sqlite.run(walk_schools(on_sqlite))


@pytest.mark.postgresql
def test_rows_alone_show_a_school_itself_alone(by_rows_alone: TwoSchools) -> None:
    async def make_another() -> None:
        async with by_rows_alone.storage.write(by_rows_alone.one) as session:
            values = {"name": "x", "keeps_health_facts": False, "revision": 1, "created_at": MOMENT}
            await session.execute(insert(School).values(id=uuid4(), **values))

    by_rows_alone.run(walk_schools(by_rows_alone))
    assert by_rows_alone.run(raw_count(by_rows_alone, "school")) == 0
    with pytest.raises(StorageError, match=NOT_THE_SCHOOLS):
        by_rows_alone.run(make_another())
    by_rows_alone.run(walk_schools(by_rows_alone))


@pytest.mark.postgresql
@pytest.mark.parametrize("kind", FOUND_BY_SECRET, ids=lambda kind: kind.__tablename__)
def test_a_shown_secret_shows_the_one_row_of_its_hash(
    by_rows_alone: TwoSchools, kind: type[SchoolBound]
) -> None:
    one, other, storage = by_rows_alone.one, by_rows_alone.other, by_rows_alone.storage

    async def work() -> None:
        for mine in (one, other, one):
            shown = by_rows_alone.rows[mine][kind]["hash"]
            async with storage.read_presented(shown) as session:
                for each in school_bound():
                    assert await schools_seen(session, each) == ({mine} if each is kind else set()), each
                assert list(await session.scalars(select(School.id))) == []
                assert list(await session.scalars(select(OperatorToken.id))) == []
                await enter_school(session, mine)
                # From here on the school's rows, and no longer what the secret showed.
                assert {len(await schools_seen(session, each)) for each in school_bound()} == {1}
            async with storage.read_presented(b"\0" * 32) as session:
                assert await schools_seen(session, kind) == set()
            assert await raw_count(by_rows_alone, kind.__tablename__) == 0

    async def change_what_is_shown() -> int:
        async with storage._session(
            presented=by_rows_alone.rows[other][kind]["hash"], writes=True
        ) as session:
            columns: Any = kind
            return await count_of(session, update(kind).values(created_at=columns.created_at))

    by_rows_alone.run(work())
    assert by_rows_alone.run(change_what_is_shown()) == 0


@pytest.mark.postgresql
def test_operators_tokens_are_no_schools(by_rows_alone: TwoSchools) -> None:
    storage, token_id, shown = by_rows_alone.storage, uuid4(), b"\1" * 32

    async def work() -> None:
        async with storage.operate() as session:
            session.add(OperatorToken(id=token_id, hash=shown, created_at=MOMENT))
        async with storage.write(by_rows_alone.one) as session:
            assert list(await session.scalars(select(OperatorToken.id))) == []
            assert await count_of(session, delete(OperatorToken)) == 0
        async with storage.read_presented(shown) as session:
            assert list(await session.scalars(select(OperatorToken.id))) == [token_id]
        assert await raw_count(by_rows_alone, "operator_token") == 0

    by_rows_alone.run(work())


def test_secrets_lead_to_tokens_and_invitations() -> None:
    assert {Token, Invitation} <= set(FOUND_BY_SECRET)
    assert all("hash" in Table.metadata.tables[kind.__tablename__].columns for kind in FOUND_BY_SECRET)
