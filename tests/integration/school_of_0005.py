"""A school as the service of revision 0005 left it: a student with a routine, and the owner's token."""

from datetime import UTC, datetime
from typing import Any, NamedTuple
from uuid import UUID, uuid4

from bagatelle_service.database.tables import (
    Routine,
    RoutineRevision,
    School,
    Staff,
    StoredTask,
    Student,
    Table,
    Token,
)
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.secrets import hash_of, new_token
from sqlalchemy import Connection, insert

from tests.integration.every_table import say_who_works

MADE_AT = datetime(2027, 3, 1, 8, tzinfo=UTC)
KEYS = ("waltz", "scales")
DOCUMENT = (
    '{"instrument":"piano","locale":"en-GB","learner":{"level":null,"limits":{"widest_interval_semitones":null}},'
    '"policy":{"share":null,"seconds_per_task":null,"near_days":null},"routine":{"title":null,"blocks":[{"id":null,'
    '"title":"Pieces","area":"repertoire","minutes":null,"tasks":[{"id":"waltz","title":"Waltz in A minor",'
    '"exercise":null,"settings":{},"area":null,"stage":"refining","stage_since":null,"minutes":20.0,"due":null,'
    '"cadence_days":null,"pin":"auto","passages":[],"manner":null,"done_when":null,"concreteness":null,'
    '"divisibility":null,"strain":null,"loudness":null,"needs_instrument":null,"smallest_chunk_seconds":null,'
    '"set_up_seconds":null},{"id":"scales","title":null,"exercise":"piano.major-scale","settings":{},"area":null,'
    '"stage":"refining","stage_since":null,"minutes":12.0,"due":null,"cadence_days":null,"pin":"auto","passages":[],'
    '"manner":null,"done_when":null,"concreteness":null,"divisibility":null,"strain":null,"loudness":null,'
    '"needs_instrument":null,"smallest_chunk_seconds":null,"set_up_seconds":null}]}]},"format":"bagatelle-routine",'
    '"version":1,"tasks":[{"key":"waltz","pointer":"/routine/blocks/0/tasks/0"},{"key":"scales","pointer":'
    '"/routine/blocks/0/tasks/1"}]}'
)
"""To the byte what that service stored of a routine that was put in over HTTP."""


class SchoolOf0005(NamedTuple):
    """What a client knows of it."""

    school_id: UUID
    student_id: UUID
    routine_id: UUID
    tasks: dict[str, UUID]
    """Ids by keys."""
    secret: str
    """The owner's token."""


def school_of_0005(connection: Connection) -> SchoolOf0005:
    """Add the rows to a database of revision 0005; no column is named that came later."""
    made = SchoolOf0005(uuid4(), uuid4(), uuid4(), {key: uuid4() for key in KEYS}, new_token())
    owner_id = uuid4()
    say_who_works(connection, made.school_id)

    def add(kind: type[Table], **values: Any) -> None:
        of_school = {} if kind is School else {"school_id": made.school_id}
        connection.execute(insert(kind), of_school | {"created_at": MADE_AT} | values)

    add(School, id=made.school_id, name="School at the ford", keeps_health_facts=False, revision=1)
    add(Staff, id=owner_id, role="owner", display_name="Office", pseudonym=uuid4(), revision=1)
    add(
        Token,
        id=uuid4(),
        hash=hash_of(made.secret),
        role="owner",
        staff_id=owner_id,
        scopes=" ".join(sorted(SCOPES_OF["owner"])),
        pseudonym=uuid4(),
    )
    add(
        Student,
        id=made.student_id,
        display_name="Ottokar",
        time_zone="Europe/Vienna",
        pseudonym=uuid4(),
        revision=1,
    )
    add(Routine, id=made.routine_id, student_id=made.student_id, key="week", revision=1)
    add(RoutineRevision, routine_id=made.routine_id, number=1, body=DOCUMENT)
    for key, task_id in made.tasks.items():
        add(StoredTask, id=task_id, routine_id=made.routine_id, key=key)
    return made
