"""The ledger of erasures: who was erased, by a hash alone, in a table and in a file that outlives the database.

A backup from before an erasure still has the student. Once it is restored, the file says whom to erase again.
"""

import asyncio
import hashlib
import os
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Annotated, Final
from uuid import UUID, uuid4

import msgspec
from msgspec import Meta, Struct
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.tables import Erasure
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.work import Work

_ONLY_THE_SERVICE: Final = 0o600
Hash = Annotated[
    str, Meta(pattern=r"^[0-9a-f]{64}$(?!\n)", description="SHA-256 of the school's id and the student's.")
]


class LedgerError(StorageError):
    """The ledger's file cannot be written or read. Says where and why."""


class LedgerLine(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One erasure."""

    school_id: UUID
    student_hash: Hash
    erased_at: datetime


class ErasureAnswer(Struct, frozen=True, kw_only=True):
    """One erasure of the school's."""

    id: UUID
    student_hash: Hash
    erased_at: datetime


class ErasuresAnswer(Struct, frozen=True, kw_only=True):
    """One page of erasures, in the order in which they were done."""

    erasures: tuple[ErasureAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


def student_hash(school_id: UUID, student_id: UUID) -> bytes:
    """Hash who was erased. The ids are drawn at random, so nobody finds them from the hash by trying."""
    return hashlib.sha256(school_id.bytes + student_id.bytes).digest()


class Ledger(Struct, frozen=True):
    """The ledger's file; an empty path: there is none."""

    path: str = ""

    async def append(self, line: LedgerLine) -> None:
        """Write a line, and return when it is on the disk.

        :raises LedgerError: where that fails.
        """
        if self.path:
            await asyncio.to_thread(_append, Path(self.path), msgspec.json.encode(line) + b"\n")


def _append(path: Path, line: bytes) -> None:
    try:
        is_new = not path.exists()
        # One write at the end of the file, so that lines of several processes stay whole.
        file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, _ONLY_THE_SERVICE)
        try:
            if os.write(file, line) != len(line):
                raise LedgerError(f"the ledger {path} took a part of a line only")
            os.fsync(file)
        finally:
            os.close(file)
        if is_new:
            _sync_folder(path.parent)
    except OSError as error:
        raise LedgerError(f"the ledger {path} cannot be written: {error.strerror}") from None


def _sync_folder(folder: Path) -> None:
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def read_ledger(path: Path) -> tuple[LedgerLine, ...]:
    """Read a ledger's file.

    :raises LedgerError: where it cannot be read, or a line is none; names the line.
    """
    try:
        lines = path.read_bytes().splitlines()
    except OSError as error:
        raise LedgerError(f"the ledger {path} cannot be read: {error.strerror}") from None
    return tuple(_read_lines(path, lines))


def _read_lines(path: Path, lines: list[bytes]) -> Iterable[LedgerLine]:
    for number, line in enumerate(lines, 1):
        try:
            yield msgspec.json.decode(line, type=LedgerLine)
        except msgspec.MsgspecError as error:
            raise LedgerError(f"line {number} of the ledger {path} is no line of a ledger: {error}") from None


async def note_erasure(session: AsyncSession, line: LedgerLine) -> None:
    """Note an erasure in the table, once."""
    hashed = bytes.fromhex(line.student_hash)
    if await session.scalar(select(Erasure.id).where(Erasure.student_hash == hashed)) is None:
        session.add(
            Erasure(school_id=line.school_id, id=uuid4(), student_hash=hashed, created_at=line.erased_at)
        )
        await session.flush()


async def list_erasures(work: Work, page: Page) -> Made:
    """List the school's erasures."""
    rows, following = await rows_of_page(work.session, select(Erasure), Erasure, page)
    erasures = tuple(
        ErasureAnswer(id=row.id, student_hash=row.student_hash.hex(), erased_at=row.created_at)
        for row in rows
    )
    return made(ErasuresAnswer(erasures=erasures, next=following))
