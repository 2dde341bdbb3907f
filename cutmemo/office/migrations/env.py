"""Runs the steps on the connection that the program hands over."""

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    version_table="layout",
    version_table_schema="office",
    transaction_per_migration=False,
)
with context.begin_transaction():
    context.run_migrations()
