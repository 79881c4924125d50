"""The service's role on PostgreSQL: it owns nothing, and row-level security binds it."""

from sqlalchemy import text
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine

from bagatelle_service.database.tables import Installation, Table

_READ_ONLY_TABLES = ("alembic_version", Installation.__tablename__)
_BYPASSES = text("SELECT rolname, rolsuper, rolbypassrls FROM pg_roles WHERE rolname = current_user")
_IS_KNOWN = text("SELECT true FROM pg_roles WHERE rolname = :role")


class UnsafeRoleError(Exception):
    """The role is bound by no row-level security. Says which role, and what to do."""


class NoSuchRoleError(Exception):
    """There is no role of that name to grant anything to."""


async def refuse_role_that_bypasses(engine: AsyncEngine) -> None:
    """See that row-level security binds the role that the service connects with.

    :raises UnsafeRoleError: where it does not.
    """
    if engine.dialect.name != "postgresql":
        return
    async with engine.connect() as connection:
        role, is_superuser, bypasses = (await connection.execute(_BYPASSES)).one()
    if is_superuser or bypasses:
        what = "is a superuser" if is_superuser else "has BYPASSRLS"
        raise UnsafeRoleError(
            f"The PostgreSQL role {role!r} {what}, so row-level security would not keep the schools apart. Make a "
            "role that has neither (CREATE ROLE ... LOGIN NOSUPERUSER NOBYPASSRLS), run `bagatelle migrate "
            "--grant-to` with its name as the owner of the database, and serve with it."
        )


async def grant_to(connection: AsyncConnection, role: str) -> None:
    """Grant an existing role what serving needs, and no more. Granted twice, it stays so.

    :raises NoSuchRoleError: where there is no such role, or the database is of a kind that has none.
    """
    if connection.dialect.name != "postgresql":
        raise NoSuchRoleError("an SQLite file has no roles; --grant-to is for PostgreSQL")
    known = await connection.scalar(_IS_KNOWN, {"role": role})
    if known is None:
        raise NoSuchRoleError(f"there is no role {role!r}; make it first: CREATE ROLE ... LOGIN")
    quote = connection.dialect.identifier_preparer.quote_identifier
    schema = quote(str(await connection.scalar(text("SELECT current_schema()"))))
    written = sorted(set(Table.metadata.tables) - set(_READ_ONLY_TABLES))
    for rights, objects in (
        ("USAGE", f"SCHEMA {schema}"),
        ("SELECT", ", ".join(f"{schema}.{quote(table)}" for table in _READ_ONLY_TABLES)),
        ("SELECT, INSERT, UPDATE, DELETE", ", ".join(f"{schema}.{quote(table)}" for table in written)),
    ):
        await connection.exec_driver_sql(f"GRANT {rights} ON {objects} TO {quote(role)}")
