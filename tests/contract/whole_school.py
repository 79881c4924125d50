"""A school with one of everything that has an id, and a caller of each role."""

from typing import Any
from uuid import UUID, uuid4

from bagatelle_service.database.tables import Guardian, Staff, Student
from bagatelle_service.school.roles import SCOPES_OF, Scope
from bagatelle_service.school.tokens import member_token

from tests.integration.own_exercises import STUDY_BOOK
from tests.integration.owners_work import work_of
from tests.integration.school import As, Service

ROUTINE = {
    "routine": {
        "blocks": [
            {
                "title": "Pieces",
                "area": "repertoire",
                "tasks": [{"id": "waltz", "title": "Waltz in A minor", "stage": "refining", "minutes": 20}],
            }
        ]
    }
}


# Never asked, as nobody shows a token of theirs; without one nobody can be tied to a subject.
AN_ISSUER: dict[str, Any] = {
    "oidc_issuer": "https://issuer.example",
    "oidc_audience": "bagatelle",
    "oidc_keys_url": "https://issuer.example/keys",
}
GAPS = (
    "school_id",
    "student_id",
    "staff_id",
    "guardian_id",
    "group_id",
    "token_id",
    "invitation_id",
    "routine_id",
    "plan_id",
    "number",
    "date",
    "log_id",
    "offer_key",
    "instrument",
)
THE_SAME_EVERYWHERE = frozenset({"number", "date"})
"""Gaps whose values are nobody's own."""


class WholeSchool:
    """One of everything. `ids` has a value for each gap in a path of the contract."""

    def __init__(self, service: Service, name: str) -> None:
        self.service = service
        self.school = service.school(name)
        self.id = UUID(self.school.id)
        owner = self.school.owner
        student = self.school.student()["id"]
        teacher = owner.make("/v1/staff", {"role": "teacher", "display_name": "Teacher"})["id"]
        guardian = owner.make(f"/v1/students/{student}/guardians", {"display_name": "Guardian"})["id"]
        group = {"name": "Group", "teachers": [teacher], "students": [student]}
        token = owner.make("/v1/tokens", {"for_whom": "app", "scopes": ["students.read"]})["token"]
        invitations = owner.make("/v1/invitations", {"invitations": [{"student": student}]})["invitations"]
        routine = owner.make(f"/v1/students/{student}/routines", ROUTINE)
        self.owner_id: str = owner.get("/v1/caller").json()["member"]
        self.ids = {
            "school_id": self.school.id,
            "student_id": student,
            "staff_id": teacher,
            "guardian_id": guardian,
            "group_id": owner.make("/v1/groups", group)["id"],
            "token_id": token["id"],
            "invitation_id": invitations[0]["invitation"]["id"],
            "routine_id": routine["id"],
            "plan_id": owner.post(f"/v1/routines/{routine['id']}/plans", {}).json()["plans"][0]["plan"],
            "number": "1",
            "date": "2027-03-01",
            "log_id": str(uuid4()),
            "offer_key": f"left-out:{routine['tasks'][0]['id']}",
            "instrument": f"book-{uuid4()}",
        }
        self.keep_catalogue(self.ids["instrument"])
        log = {"day": service.clock().date().isoformat(), "kind": "free", "seconds": 60}
        logged = owner.put(f"/v1/students/{student}/logs/{self.ids['log_id']}", log)
        assert logged.status_code == 201, logged.text
        self.callers = {
            "operator": service.operator,
            "owner": owner,
            "teacher": self.member(Staff, teacher),
            "student": self.member(Student, student),
            "guardian": self.member(Guardian, guardian),
            "app": self.school.app(*sorted(SCOPES_OF["app"])),
        }

    def keep_catalogue(self, instrument: str) -> None:
        """Store a catalogue of one instrument, whose id no other school has."""
        kept = self.school.owner.send(
            "PUT",
            f"/v1/school/exercises/{instrument}",
            content=STUDY_BOOK.replace("study-book", instrument).encode(),
            headers={"Content-Type": "application/toml"},
        )
        assert kept.status_code == 201, kept.text

    def member(self, table: Any, member_id: str, scopes: frozenset[Scope] | None = None) -> As:
        """A caller with a new token of a member."""

        async def make() -> str:
            async with self.service.api.storage.write(self.id) as session:
                member = await session.get_one(table, (self.id, UUID(member_id)))
                token, secret = member_token(work_of(self.school, session), member, scopes)
                session.add(token)
                return secret

        return As(self.service.api, self.service.api.run(make()))

    def lonely_teacher(self) -> As:
        """A teacher without a group."""
        made = self.school.owner.make("/v1/staff", {"role": "teacher", "display_name": "Lonely"})
        return self.member(Staff, made["id"])
