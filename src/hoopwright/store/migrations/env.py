"""Run by Alembic: apply the changes on the connection that ``open_database`` hands over."""

from alembic import context

from hoopwright.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite can't alter most things in place; Alembic then copies the table
    render_as_batch=True,
)
context.run_migrations()
