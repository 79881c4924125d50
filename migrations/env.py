"""Run by alembic. The connection comes from `bagatelle_service.database.migrating`, which opens the transaction."""

from alembic import context
from bagatelle_service.database.tables import Table

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Table.metadata,
    # SQLite cannot alter most things in place.
    render_as_batch=True,
    compare_server_default=True,
)
with context.begin_transaction():
    context.run_migrations()
