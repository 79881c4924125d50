"""Prepared plans and logs outlive what they were made from: plugins, revisions, units, tasks."""

import hashlib
import json
from collections.abc import Iterable
from typing import Any
from uuid import UUID, uuid4

import msgspec
import pytest
from bagatelle import Instruments, compress, decode_request, load_instruments
from bagatelle_service.database.tables import CatalogueSnapshot, LogEntry
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.prepared_plans import KeptPlan, find_plan, read_plan
from bagatelle_service.school.routines import NewRoutine, find_routine
from bagatelle_service.school.snapshots import Snapshot, snapshot_of
from msgspec.structs import replace
from sqlalchemy import select

from tests.integration.kept_plan import PlanToKeep, keep_plan
from tests.integration.owners_work import work_of
from tests.integration.school import SchoolOfTest, service_on

LOADED = load_instruments()
OCTAVES = next(each for each in LOADED.exercises if each.id == "piano.octaves")
SCALES = next(each for each in LOADED.exercises if each.id == "piano.major-scale")
OWN = {"id": "waltz", "title": "Waltz", "minutes": 20}


def routine_body(*tasks: dict[str, Any]) -> dict[str, Any]:
    return {"instrument": "piano", "routine": {"blocks": [{"title": "All of it", "tasks": list(tasks)}]}}


BODY = routine_body({"id": "scales", "exercise": SCALES.id, "minutes": 15}, OWN)


def content_of(body: dict[str, Any]) -> NewRoutine:
    return msgspec.convert(body, NewRoutine)


def answer_to(body: dict[str, Any]) -> bytes:
    request = decode_request(json.dumps({**body, "circumstances": {"minutes": 10}}).encode())
    return msgspec.json.encode(compress(request, LOADED))


def made_routine(school: SchoolOfTest, body: dict[str, Any] = BODY) -> dict[str, Any]:
    return school.owner.make(f"/v1/students/{school.student()['id']}/routines", body)


def kept(school: SchoolOfTest, routine: dict[str, Any], snapshot: Snapshot) -> UUID:
    plan = PlanToKeep(
        routine_revision=1,
        kind="usual",
        card=answer_to(BODY),
        made_with="{}",
        choices="{}",
        snapshot=snapshot,
    )

    async def keep() -> UUID:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            work = work_of(school, session)
            row = await find_routine(work, UUID(routine["id"]))
            return (await keep_plan(work, row, plan)).id

    return school.service.api.run(keep())


def read(school: SchoolOfTest, plan_id: UUID, **caller: Any) -> tuple[KeptPlan, Snapshot]:
    async def find() -> tuple[KeptPlan, Snapshot]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            work = work_of(school, session)
            work.caller = replace(work.caller, **caller)
            plan = await read_plan(work, await find_plan(work, plan_id))
            stored = await session.get_one(CatalogueSnapshot, (work.school_id, plan.catalogue_hash))
            return plan, Snapshot(hash=stored.hash, body=stored.body.encode())

    return school.service.api.run(find())


def test_a_snapshot_is_canonical_and_holds_what_was_used() -> None:
    snapshot = snapshot_of(content_of(BODY), LOADED)
    value = json.loads(snapshot.body)
    canonical = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    assert snapshot.body == canonical
    assert snapshot.hash == hashlib.sha256(canonical).hexdigest()
    (plugin,) = snapshot.catalogue().plugins
    version = LOADED.plugin_of(SCALES.id)
    assert (plugin.name, plugin.version, plugin.hash) == (version.name, version.version, version.hash)
    (instrument,) = plugin.instruments
    stand_in = LOADED.stand_in("piano")
    assert stand_in is not None
    assert {each.id for each in instrument.exercises} == {SCALES.id, stand_in.id}
    assert SCALES in instrument.exercises
    english = next(texts for texts in plugin.texts if texts.locale == "en").messages
    assert {f"{SCALES.id}.{part}" for part in ("title", "what", "how", "done_when")} <= english.keys()
    assert not [name for name in english if name.startswith("piano.arpeggio.")]


def test_a_snapshot_depends_on_what_was_used_alone() -> None:
    scales = {"id": "scales", "exercise": SCALES.id, "minutes": 15}
    same = routine_body(OWN, {**scales, "minutes": 5, "title": "My own scales"})
    other = routine_body({**scales, "exercise": OCTAVES.id})
    one = snapshot_of(content_of(BODY), LOADED)
    assert snapshot_of(content_of(same), LOADED) == one
    assert b"My own" not in snapshot_of(content_of(same), LOADED).body
    (plugin,) = snapshot_of(content_of(other), LOADED).catalogue().plugins
    english = next(texts for texts in plugin.texts if texts.locale == "en").messages
    assert OCTAVES.cautions
    assert set(OCTAVES.cautions) <= english.keys()
    assert f"{SCALES.id}.title" not in english
    assert snapshot_of(content_of(other), LOADED).hash != one.hash
    nothing = snapshot_of(content_of({"routine": {"blocks": [{"title": "x", "minutes": 9}]}}), LOADED)
    assert nothing.catalogue().plugins == ()


def test_a_plan_stays_readable_without_any_plugin(any_database_url: str) -> None:
    snapshot = snapshot_of(content_of(BODY), LOADED)
    with service_on(any_database_url, instruments=LOADED) as service:
        school = service.school()
        routine = made_routine(school)
        plan_id = kept(school, routine, snapshot)
    with service_on(any_database_url, instruments=Instruments.none()) as without:
        school.service = without
        plan, of_plan = read(school, plan_id)
        assert plan.card == answer_to(BODY)
        assert (plan.routine_revision, plan.kind, plan.revision) == (1, "usual", 1)
        assert of_plan == snapshot
        assert hashlib.sha256(of_plan.body).hexdigest() == of_plan.hash
        (instrument,) = of_plan.catalogue().plugins[0].instruments
        assert SCALES in instrument.exercises


def test_the_same_snapshot_is_stored_once_for_each_school(any_database_url: str) -> None:
    snapshot = snapshot_of(content_of(BODY), LOADED)
    with service_on(any_database_url, instruments=LOADED) as service:
        schools = service.school(), service.school("Another")
        for school in schools:
            routine = made_routine(school)
            first, second = kept(school, routine, snapshot), kept(school, routine, snapshot)
            assert first == second
            assert read(school, first)[0].revision == 2

        async def count(school: SchoolOfTest) -> int:
            async with service.api.storage.read(UUID(school.id)) as session:
                return len((await session.scalars(select(CatalogueSnapshot))).all())

        assert [service.api.run(count(school)) for school in schools] == [1, 1]
        with pytest.raises(MissingError):
            read(
                schools[1],
                kept(schools[0], made_routine(schools[0]), snapshot),
                school_id=UUID(schools[1].id),
            )


def test_a_plan_is_read_by_who_reaches_its_student(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=LOADED) as service:
        school = service.school()
        routine = made_routine(school)
        plan_id = kept(school, routine, snapshot_of(content_of(BODY), LOADED))
        assert read(school, plan_id, role="student", student_id=UUID(routine["student"]))[0].id == plan_id
        for caller in (
            {"role": "student", "student_id": UUID(school.student()["id"])},
            {"role": "teacher", "staff_id": uuid4()},
        ):
            with pytest.raises(NotAllowedError):
                read(school, plan_id, **caller)


def log_scales(school: SchoolOfTest, routine: dict[str, Any]) -> tuple[UUID, dict[str, Any]]:
    """Log one unit of the scales; return the entry's id, and what it says of what was played."""
    version = LOADED.plugin_of(SCALES.id)
    entry_id = uuid4()
    said = {
        "task_id": UUID(next(task["id"] for task in routine["tasks"] if task["key"] == "scales")),
        "routine_id": UUID(routine["id"]),
        "routine_revision": 1,
        "exercise": SCALES.id,
        "exercise_version": f"{version.version} {version.hash}",
        "units": '["G"]',
    }

    async def log() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            session.add(
                LogEntry(
                    school_id=UUID(school.id),
                    id=entry_id,
                    student_id=UUID(routine["student"]),
                    day=school.service.clock().date(),
                    kind="short",
                    seconds=300,
                    done_when_met=None,
                    revision=1,
                    created_at=school.service.clock(),
                    removed_at=None,
                    **said,
                )
            )

    school.service.api.run(log())
    return entry_id, said


def logged(school: SchoolOfTest, entry_id: UUID, names: Iterable[str]) -> dict[str, Any]:
    async def find() -> dict[str, Any]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            row = await session.get_one(LogEntry, (UUID(school.id), entry_id))
            return {name: getattr(row, name) for name in names}

    return school.service.api.run(find())


def test_what_was_logged_stays_with_its_task(any_database_url: str) -> None:
    """A later revision drops the unit, then the task; the entry still names both, and what they were of."""
    with service_on(any_database_url, instruments=LOADED) as service:
        school = service.school()
        scales = {"id": "scales", "exercise": SCALES.id, "minutes": 15, "settings": {"keys": ["C", "G"]}}
        routine = made_routine(school, routine_body(scales, OWN))
        where = f"/v1/routines/{routine['id']}"
        entry_id, said = log_scales(school, routine)
        fewer = routine_body({**scales, "settings": {"keys": ["C"]}}, OWN)
        assert school.owner.put(where, fewer, revision=1).status_code == 200
        assert logged(school, entry_id, said) == said
        gone = school.owner.put(where, routine_body(OWN), revision=2).json()
        assert [task["key"] for task in gone["tasks"]] == ["waltz"]
        assert logged(school, entry_id, said) == said
        # The revision that the entry names still shows task and unit.
        first = school.owner.get(f"{where}/revisions/1").json()
        assert str(said["task_id"]) in [task["id"] for task in first["tasks"]]
        assert first["routine"]["blocks"][0]["tasks"][0]["settings"] == {"keys": ["C", "G"]}
        # Back in the routine it is the task that was logged.
        back = school.owner.put(where, fewer, revision=3).json()
        assert str(said["task_id"]) in [task["id"] for task in back["tasks"]]
