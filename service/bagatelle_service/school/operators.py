"""The operator's tokens, and a school made without HTTP: what the commands do."""

from datetime import datetime
from uuid import uuid4

import msgspec

from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import OperatorToken
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.schools import NewSchool, NewSchoolAnswer, make_school
from bagatelle_service.school.secrets import hash_of, new_token
from bagatelle_service.school.work import Work


async def make_operator_token(storage: Storage, now: datetime) -> str:
    """Make a token of the operator's, and return its secret."""
    secret = new_token()
    async with storage.operate() as session:
        session.add(
            OperatorToken(
                id=uuid4(),
                hash=hash_of(secret),
                created_at=now,
                expires_at=None,
                revoked_at=None,
                last_used_at=None,
            )
        )
    return secret


async def make_school_by_command(storage: Storage, body: NewSchool, now: datetime) -> NewSchoolAnswer:
    """Make a school as the operator, who is known by having the database."""
    school_id, who = uuid4(), uuid4()
    caller = Caller(role="operator", scopes=SCOPES_OF["operator"], token_id=who, pseudonym=who, secret="")
    async with storage.operate(school_id) as session:
        work = Work(session=session, caller=caller, school_id=school_id, now=now, operation="make_school")
        made = await make_school(work, body)
        session.add(work.entry())
    return msgspec.json.decode(made.body, type=NewSchoolAnswer)
