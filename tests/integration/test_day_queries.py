"""What progress, a glance and a day read is found by an index: nobody else's rows are looked through."""

from pathlib import Path

from bagatelle_service.signing import make_signing_key

from tests.integration.practised import INSTRUMENTS, Practised, days_ago
from tests.integration.query_plans import asked_of, plans_of, scanned
from tests.integration.school import service_on


def test_nothing_is_scanned(any_database_url: str, tmp_path: Path) -> None:
    key_file = tmp_path / "signing-key.pem"
    make_signing_key(key_file)
    with service_on(any_database_url, instruments=INSTRUMENTS, signing_key_file=str(key_file)) as service:
        student = Practised(service.school())
        student.prepare()
        student.log(days_ago(2), "scales")
        teacher_id, teacher = student.school.teacher()
        group = student.school.group([teacher_id], [student.student])["id"]
        day = f"{student.path}/days/{days_ago(0)}"
        teacher.get("/v1/caller")
        with asked_of(service) as asked:
            assert teacher.get(f"{student.path}/progress").status_code == 200
            assert teacher.get(f"/v1/groups/{group}/glance").status_code == 200
            assert teacher.get(day).json()["frozen"] is False
            for content in ({}, {"minutes": 9}, {"minutes": 14}):
                assert teacher.put(day, content, headers={"If-Match": "*"}).json()["frozen"] is True
            assert teacher.get(day).json()["frozen"] is True
            assert teacher.get(f"{student.path}/days").status_code == 200
            assert teacher.get(f"{student.path}/bundle").status_code == 200
        assert scanned(service, asked) == []
        logs = [plan for statement, plan in plans_of(service, asked) if "FROM log_entry" in statement]
        assert len(logs) > 6
        # The logs of one student, by their days.
        assert all("student_id" in plan for plan in logs)
