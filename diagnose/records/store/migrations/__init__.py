"""Alembic migrations: one file per schema version, never changed once released."""
