"""What `bagatelle prepare` does: a school's plans prepared without HTTP, the engine on every core."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from uuid import UUID, uuid4

from sqlalchemy import select

from bagatelle_service.database.opening import opened_storage
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import School
from bagatelle_service.engine_calls import EngineCalls
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.plugin_loading import try_plugins
from bagatelle_service.plugin_watch import PluginWatch
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.groups import find_group
from bagatelle_service.school.plan_versions import LoadedVersions
from bagatelle_service.school.preparation_sums import Sums
from bagatelle_service.school.preparations import (
    Only,
    StudentDone,
    WantedPreparations,
    count_students,
    prepare_many,
)
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.sessions import Sessions
from bagatelle_service.school.set_preparation import Preparation
from bagatelle_service.school.trail import Trail
from bagatelle_service.school.work import Work
from bagatelle_service.school_engines import SchoolEngines
from bagatelle_service.settings import cores, settings_from_environment

Watch = Callable[[int], AbstractContextManager[Callable[[StudentDone], None]]]
"""Is told how many students there are, and then each one who was done."""


class UnknownSchoolError(Exception):
    """There is no school of that id, or no group; says which."""


def wanted_by(only: Only, group: str | None, *, dry_run: bool) -> WantedPreparations:
    """Read what somebody asked for on the command line.

    :raises UnknownSchoolError: where the group is no id.
    """
    return WantedPreparations(
        only=only, group=None if group is None else str(_id(group, "group")), dry_run=dry_run
    )


async def prepare_school(school: str, wanted: WantedPreparations, watch: Watch) -> Sums:
    """Prepare a school's plans.

    :raises UnknownSchoolError: where there is no such school.
    :raises MissingError: where the school has no such group.
    """
    settings = settings_from_environment()
    school_id = _id(school, "school")
    async with opened_storage(settings.database_url) as storage:
        await _note(storage, school_id, wanted)
        plugins = await try_plugins(settings)
        processes = EngineProcesses(
            settings.engine_processes or cores(),
            settings.clock_seconds,
            plugins=plugins,
            watch=PluginWatch(settings.plugin_limits),
        )
        engine_calls = EngineCalls(1, settings.clock_seconds)
        await processes.start()
        try:
            engine = await SchoolEngines(storage, plugins.load(), engine_calls, processes.ask).of(school_id)
            preparation = Preparation(
                sessions=sessions_of(storage, school_id), ask=engine.ask, dry_run=wanted.dry_run
            )
            return await _prepare(preparation, wanted, engine.loaded, watch, settings.engines + 1)
        finally:
            engine_calls.close()
            await processes.close()


async def _note(storage: Storage, school_id: UUID, wanted: WantedPreparations) -> None:
    """See that there are such a school and group, and put into the trail that its operator did this."""
    who = uuid4()
    operator = Caller(role="operator", scopes=SCOPES_OF["operator"], token_id=who, pseudonym=who, secret="")
    async with storage.operate(school_id, writes=not wanted.dry_run) as session:
        if await session.scalar(select(School.id).where(School.id == school_id)) is None:
            raise UnknownSchoolError(f"There is no school {school_id}.")
        work = Work(
            session=session,
            caller=operator,
            school_id=school_id,
            now=datetime.now(UTC),
            operation="prepare_many",
        )
        if wanted.group is not None:
            await find_group(work, UUID(wanted.group))
        if not wanted.dry_run:
            session.add(work.entry())


def sessions_of(storage: Storage, school_id: UUID) -> Sessions:
    """Open the transactions of a command that works inside a school."""
    # Whoever has the database reaches every student, as an app of the school does.
    who = uuid4()
    app = Caller(
        role="app",
        scopes=frozenset({"practice.change"}),
        token_id=who,
        pseudonym=who,
        secret="",
        school_id=school_id,
    )
    return Sessions(
        storage=storage,
        trail=Trail(storage),
        caller=app,
        school_id=school_id,
        now=lambda: datetime.now(UTC),
        operation="prepare_many",
    )


async def _prepare(
    preparation: Preparation,
    wanted: WantedPreparations,
    loaded: LoadedVersions,
    watch: Watch,
    at_once: int,
) -> Sums:
    async with preparation.sessions.open(writes=False) as work:
        count = await count_students(work, wanted)
    sums = Sums()
    with watch(count) as see:
        async for done in prepare_many(preparation, wanted, loaded, at_once):
            sums = sums.with_student(done.prepared)
            see(done)
    return sums


def _id(text: str, thing: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise UnknownSchoolError(f"{text!r} is no id of a {thing}.") from None
