"""Alembic's entry: runs the revisions on the connection it was handed. There is no offline mode."""

from alembic import context

from bot.records.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
with context.begin_transaction():
    context.run_migrations()
