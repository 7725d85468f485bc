"""Bikes and cases, each with its journal."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "bikes",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("name_key", sa.Text, nullable=False, unique=True),
        sa.Column("archived", sa.Integer, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("changed_at", sa.Text, nullable=False),
    )
    op.create_table(
        "cases",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("bike_id", sa.Integer, sa.ForeignKey("bikes.id"), nullable=True),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("complaints", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("outcome", sa.String(20), nullable=True),
        sa.Column("pack", sa.Text, nullable=False),
        sa.Column("opened_at", sa.Text, nullable=False),
        sa.Column("changed_at", sa.Text, nullable=False),
    )
    op.create_index("cases_by_bike", "cases", ["bike_id"])
    op.create_index("cases_by_change", "cases", ["changed_at"])
    for owner in ("bike", "case"):
        op.create_table(
            f"{owner}_entries",
            sa.Column(f"{owner}_id", sa.Integer, sa.ForeignKey(f"{owner}s.id"), primary_key=True),
            sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
            sa.Column("at", sa.Text, nullable=False),
            sa.Column("kind", sa.Text, nullable=False),
            sa.Column("body", sa.Text, nullable=False),
        )
