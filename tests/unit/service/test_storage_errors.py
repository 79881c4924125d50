"""What a database's error becomes: told by its kind alone, and busy where it may come right by itself."""

import pytest
from bagatelle_service.database.errors import BusyError, StorageError
from bagatelle_service.database.storage import plain
from sqlalchemy.exc import DBAPIError

NAME = "Wilhelmine"


class OfPostgresqlError(Exception):
    def __init__(self, sqlstate: str | None) -> None:
        self.sqlstate = sqlstate
        super().__init__(f"something about {NAME}")


# PostgreSQL 15, appendix A: connection_failure, serialization_failure, deadlock_detected, too_many_connections,
# admin_shutdown; then undefined_table, insufficient_privilege, and no code at all.
@pytest.mark.parametrize(
    ("sqlstate", "kind"),
    [
        *((code, BusyError) for code in ("08006", "40001", "40P01", "53300", "57P01")),
        *((code, StorageError) for code in ("42P01", "42501", None)),
    ],
)
def test_what_may_come_right_is_busy(sqlstate: str | None, kind: type[StorageError]) -> None:
    found = plain(DBAPIError("SELECT 1", {"name": NAME}, OfPostgresqlError(sqlstate)))
    assert type(found) is kind
    assert NAME not in str(found)
