"""Answers kept for a day, so that a POST sent again under its Idempotency-Key does nothing twice.

The body is encrypted under the secret that the caller showed, and only its hash is stored: so nobody who reads the
database reads it, not even a token that was shown once.
"""

import hashlib
from datetime import timedelta
from typing import Final

import msgspec
from msgspec import Struct

from bagatelle_service.database.tables import KeptAnswer
from bagatelle_service.school.answers import Made
from bagatelle_service.school.errors import AnswerErasedError, KeyReusedError
from bagatelle_service.school.secrets import cipher, same
from bagatelle_service.school.work import Work

KEPT_FOR: Final = timedelta(hours=24)


class Repeatable(Struct, frozen=True, kw_only=True):
    """A request that may come again."""

    key: str
    request_hash: bytes
    secret: bytes
    """What the caller showed, hashed otherwise than it is stored."""

    @property
    def key_hash(self) -> bytes:
        """What the kept answer is found by: a key belongs to who sent it."""
        return hashlib.sha256(hashlib.sha256(self.secret).digest() + self.key.encode()).digest()


def repeatable(key: str, request: bytes, shown_secret: str) -> Repeatable:
    """Describe a request that came with a key."""
    secret = hashlib.sha256(b"kept answers\n" + shown_secret.encode()).digest()
    return Repeatable(key=key, request_hash=hashlib.sha256(request).digest(), secret=secret)


async def kept_answer(work: Work, request: Repeatable) -> Made | None:
    """Find the answer that was kept; None where there is none.

    :raises KeyReusedError: where the key came with another request before.
    :raises AnswerErasedError: where what was kept is erased.
    :raises NotAllowedError: where it is about a student whom the caller does not reach any more.
    """
    kept = await work.session.get(KeptAnswer, (work.school_id, request.key_hash))
    if kept is None:
        return None
    if kept.created_at <= work.now - KEPT_FOR:
        await work.session.delete(kept)
        await work.session.flush()
        return None
    if kept.body is None:
        # Whether it is the same request is not known any more: its hash went with the body.
        raise AnswerErasedError("What this request made was done, and its answer was erased since.")
    if not same(kept.request_hash, request.request_hash):
        raise KeyReusedError("This Idempotency-Key came with another request in the last 24 hours.")
    if kept.student_id is not None:
        # Who no longer reaches the student is told nothing more of them.
        await work.student(kept.student_id)
    plain = cipher(request.secret, request.key.encode()).decrypt(kept.body)
    return msgspec.msgpack.decode(plain, type=Made)


def keep_answer(work: Work, request: Repeatable, made: Made, *, about_many: bool) -> None:
    """Keep an answer, in the transaction that makes what it answers."""
    body = cipher(request.secret, request.key.encode()).encrypt(msgspec.msgpack.encode(made))
    work.session.add(
        KeptAnswer(
            school_id=work.school_id,
            key_hash=request.key_hash,
            request_hash=request.request_hash,
            # What a student or a guardian asks is about the student, whatever it is.
            student_id=work.student_id or work.caller.student_id,
            about_many=about_many,
            body=body,
            created_at=work.now,
        )
    )
