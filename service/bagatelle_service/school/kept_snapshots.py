"""Catalogue snapshots as the database keeps them, one of each for a school."""

from collections.abc import Iterable

from sqlalchemy.dialects import postgresql, sqlite

from bagatelle_service.database.tables import CatalogueSnapshot
from bagatelle_service.school.snapshots import Snapshot
from bagatelle_service.school.work import Work


async def keep_snapshots(work: Work, snapshots: Iterable[Snapshot]) -> None:
    """Store snapshots, where the school has not the same already."""
    insert = sqlite.insert if work.session.get_bind().dialect.name == "sqlite" else postgresql.insert
    by_hash = {snapshot.hash: snapshot for snapshot in snapshots}
    # Two who prepare plans at once may store the same: in one order, so that neither waits for the other.
    rows = [
        {
            "school_id": work.school_id,
            "hash": each,
            "body": by_hash[each].body.decode(),
            "created_at": work.now,
        }
        for each in sorted(by_hash)
    ]
    statement = insert(CatalogueSnapshot).on_conflict_do_nothing(index_elements=["school_id", "hash"])
    await work.session.execute(statement, rows)
