"""Run the migrations on the connection that Longrow hands over, in one transaction."""

from alembic import context

# The tables of people join those of the rows when their module is read.
from pipeline.store.account_tables import accounts

connection = context.config.attributes["connection"].execution_options(writes=True)
context.configure(connection=connection, target_metadata=accounts.metadata, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
connection.commit()
