"""What logs ask of the database: nothing is read from end to end, and many entries take as few questions as two."""

from typing import Any
from uuid import uuid4

from bagatelle_service.school.pages import cursor_of

from tests.integration.hand_made_sheet import LOADED, SCALES_STEP
from tests.integration.query_plans import asked_of, scanned
from tests.integration.school import service_on
from tests.integration.test_log_things import TODAY, Practising


def entries(practising: Practising, count: int) -> dict[str, Any]:
    """Entries of each kind of thing."""
    things: tuple[dict[str, Any], ...] = (
        {"step": SCALES_STEP},
        {"task": practising.tasks["scales"], "units": ["C"]},
        {},
    )
    common = {"day": TODAY.isoformat(), "kind": "short", "seconds": 60}
    return {
        "entries": [{**common, **things[place % 3], "id": str(uuid4())} for place in range(count)],
    }


def test_no_table_is_read_from_end_to_end(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=LOADED) as service:
        practising = Practising(service.school())
        logs = f"/v1/students/{practising.student}/logs"
        made = practising.log()
        student = practising.school.let_in(student=practising.student)
        student.get(logs)
        cursor = cursor_of(service.clock(), uuid4())
        with asked_of(service) as asked:
            for query in (
                "",
                "?from=2027-01-01",
                "?to=2027-03-01",
                f"?task={practising.tasks['jam']}",
                "?kind=free",
                f"?cursor={cursor}&from=2027-01-01&to=2027-03-01&kind=short",
            ):
                assert student.get(logs + query).status_code == 200
            assert student.post(logs, entries(practising, 6)).status_code == 201
            assert practising.put(f"{logs}/{made['id']}", seconds=5).status_code == 428
            assert student.get(f"{logs}/{made['id']}").status_code == 200
            assert student.delete(f"{logs}/{made['id']}", headers={"If-Match": "*"}).status_code == 204
        assert len(asked) > 40
        assert scanned(service, asked) == []


def test_a_thousand_entries_take_as_few_statements_as_six(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=LOADED) as service:
        practising = Practising(service.school())
        logs = f"/v1/students/{practising.student}/logs"
        counts = []
        practising.school.owner.make(logs, entries(practising, 3))
        for count in (6, 999):
            with asked_of(service) as asked:
                practising.school.owner.make(logs, entries(practising, count))
            counts.append(len(asked))
        assert counts[0] == counts[1] < 30
