"""Alembic's entry: runs the migrations on the connection and in the transaction it is handed."""

from __future__ import annotations

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, transaction_per_migration=False, transactional_ddl=False)
context.run_migrations()
