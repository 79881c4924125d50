"""Catalogue snapshots as the database keeps them, one of each for a school."""

from sqlalchemy.dialects import postgresql, sqlite

from bagatelle_service.database.tables import CatalogueSnapshot
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.snapshots import Snapshot
from bagatelle_service.school.work import Work


async def keep_snapshot(work: Work, snapshot: Snapshot) -> None:
    """Store a snapshot, where the school has not the same already."""
    insert = sqlite.insert if work.session.get_bind().dialect.name == "sqlite" else postgresql.insert
    statement = insert(CatalogueSnapshot).values(
        school_id=work.school_id,
        hash=snapshot.hash,
        body=snapshot.body.decode(),
        created_at=work.now,
    )
    # Two who prepare plans at once may store the same.
    await work.session.execute(statement.on_conflict_do_nothing(index_elements=["school_id", "hash"]))


async def read_snapshot(work: Work, snapshot_hash: str) -> Snapshot:
    """Read a snapshot that was stored.

    :raises MissingError: where the school has none of that hash.
    """
    row = await work.session.get(CatalogueSnapshot, (work.school_id, snapshot_hash))
    if row is None:
        raise MissingError("snapshot")
    return Snapshot(hash=row.hash, body=row.body.encode())
