"""Who there is, and what each may do at most. A token may say less."""

from typing import Final, Literal, get_args

Role = Literal["operator", "owner", "teacher", "student", "guardian", "app"]
MemberRole = Literal["owner", "teacher", "student", "guardian"]
Scope = Literal[
    "schools.operate",
    "plans.make",
    "school.read",
    "school.change",
    "exercises.read",
    "exercises.change",
    "staff.read",
    "staff.change",
    "students.read",
    "students.make",
    "students.change",
    "students.erase",
    "groups.read",
    "groups.change",
    "routines.read",
    "routines.change",
    "practice.read",
    "practice.change",
    "invitations.change",
    "tokens.change",
    "trail.read",
]

_OF_A_SCHOOL: Final[frozenset[Scope]] = frozenset(get_args(Scope)) - {"schools.operate"}
SCOPES_OF: Final[dict[Role, frozenset[Scope]]] = {
    # Schools as such, and nothing inside one.
    "operator": frozenset({"schools.operate", "school.read", "school.change", "plans.make"}),
    "owner": _OF_A_SCHOOL,
    # The students of the teacher's own groups only: `bagatelle_service.school.reach`.
    "teacher": frozenset(
        {
            "plans.make",
            "school.read",
            "exercises.read",
            "students.read",
            "students.change",
            "groups.read",
            "routines.read",
            "routines.change",
            "practice.read",
            "practice.change",
            "tokens.change",
        }
    ),
    # The student's own record, routines and practice only.
    "student": frozenset(
        {
            "plans.make",
            "students.read",
            "routines.read",
            "routines.change",
            "practice.read",
            "practice.change",
            "tokens.change",
        }
    ),
    # One student, and reading only; own tokens can be taken back.
    "guardian": frozenset({"plans.make", "students.read", "routines.read", "practice.read", "tokens.change"}),
    "app": _OF_A_SCHOOL,
}
EVERYWHERE: Final[frozenset[Role]] = frozenset({"owner", "app"})
"""Those who reach every student of the school."""
