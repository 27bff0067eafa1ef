"""Run the migrations on the connection that Longrow hands over, in one transaction."""

from alembic import context

# The tables of people join the same metadata when their module is read.
from pipeline.store import account_tables  # noqa: F401
from pipeline.store.tables import metadata

connection = context.config.attributes["connection"].execution_options(writes=True)
context.configure(connection=connection, target_metadata=metadata, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
connection.commit()
