"""`bagatelle prepare` as people run it: on the database itself, with processes of the engine."""

from pathlib import Path
from uuid import UUID, uuid4

import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.card.kinds import KINDS
from bagatelle.command.main import main
from bagatelle_service.database.tables import AuditEntry, PreparedPlan, RoutineRevision
from sqlalchemy import func, select

from tests.integration.school import SchoolOfTest, service_on
from tests.integration.serving import run_command

ROUTINE = {"routine": {"blocks": [{"title": "Polka", "area": "repertoire", "minutes": 20}]}}
SCALES = {"id": "scales", "exercise": "piano.major-scale", "minutes": 15}
PIANO = {"instrument": "piano", "routine": {"blocks": [{"title": "Scales", "tasks": [SCALES]}]}}


def counted(school: SchoolOfTest) -> tuple[int, list[str]]:
    """How many plans there are, and who prepared them."""

    async def read() -> tuple[int, list[str]]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            roles = select(AuditEntry.actor_role).where(AuditEntry.operation == "prepare_many")
            plans = await session.scalar(select(func.count()).select_from(PreparedPlan))
            return plans or 0, list(await session.scalars(roles))

    return school.service.api.run(read())


def test_it_prepares_and_goes_on(tmp_path: Path, any_database_url: str) -> None:
    with service_on(any_database_url, instruments=Instruments.none()) as service:
        school = service.school()
        student = school.student()["id"]
        for body in (ROUTINE, {**ROUTINE, "key": "second"}):
            school.owner.make(f"/v1/students/{student}/routines", body)
        group = school.group([], [student])["id"]
        variables = {"BAGATELLE_DATABASE_URL": any_database_url, "BAGATELLE_ENGINE_PROCESSES": "2"}
        done = run_command(tmp_path, "prepare", "--school", school.id, "--group", group, **variables)
        assert (done.returncode, done.stderr) == (0, "")
        assert "2 changed, 0 stay as they were, 0 came to a problem" in done.stdout
        assert counted(school) == (2 * len(KINDS), ["operator"])
        again = ("--school", school.id, "--only", "all", "--dry-run")
        tried = run_command(tmp_path, "prepare", *again, **variables)
        assert (tried.returncode, tried.stderr) == (0, "")
        assert "1 students, 2 routines: 0 would change, 2 stay as they were" in tried.stdout
        assert counted(school) == (2 * len(KINDS), ["operator"])


def test_what_cannot_be_prepared_is_named(
    any_database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BAGATELLE_DATABASE_URL", any_database_url)
    monkeypatch.setenv("BAGATELLE_ENGINE_PROCESSES", "1")
    with service_on(any_database_url, instruments=load_instruments()) as service:
        school = service.school()
        student = school.student()["id"]
        good = school.owner.make(f"/v1/students/{student}/routines", ROUTINE)
        bad = school.owner.make(f"/v1/students/{student}/routines", PIANO)

        async def spoil() -> None:
            # As if the plugin had lost the exercise since.
            async with service.api.storage.write(UUID(school.id)) as session:
                row = await session.get_one(RoutineRevision, (UUID(school.id), UUID(bad["id"]), 1))
                row.body = row.body.replace("piano.major-scale", "piano.gone")

        service.api.run(spoil())
        assert main(["prepare", "--school", school.id]) == 1
        printed = capsys.readouterr()
        assert "1 changed, 0 stay as they were, 1 came to a problem" in printed.out
        place = "/routine/blocks/0/tasks/0/exercise"
        assert printed.err == f"routine {bad['id']}: invalid-input {place}\n"
        assert len(school.owner.get(f"/v1/routines/{good['id']}/plans").json()["plans"]) == len(KINDS)


def test_a_school_or_group_that_is_none_is_named(
    any_database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BAGATELLE_DATABASE_URL", any_database_url)
    with service_on(any_database_url) as service:
        school = service.school()
        for arguments, message in (
            (("--school", "river"), "'river' is no id of a school"),
            (("--school", str(uuid4())), "There is no school"),
            (("--school", school.id, "--group", str(uuid4())), "There is no group of that id."),
        ):
            assert main(["prepare", *arguments]) == 1
            printed = capsys.readouterr()
            assert message in printed.err
            assert printed.out == ""
