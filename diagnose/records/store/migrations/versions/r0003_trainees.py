"""Trainees and the cases they were given, each with its journal."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the tables of trainees and attempts."""
    op.create_table(
        "trainees",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("name_key", sa.Text, nullable=False, unique=True),
        sa.Column("archived", sa.Integer, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("changed_at", sa.Text, nullable=False),
    )
    op.create_table(
        "attempts",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("trainee_id", sa.Integer, sa.ForeignKey("trainees.id"), nullable=False),
        sa.Column("pack", sa.Text, nullable=False),
        sa.Column("scenario", sa.Text, nullable=False),
        sa.Column("lesson", sa.Text, nullable=True),
        sa.Column("sitting", sa.Integer, nullable=True),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("result", sa.Text, nullable=True),
        sa.Column("began_at", sa.Text, nullable=False),
        sa.Column("changed_at", sa.Text, nullable=False),
    )
    op.create_index("attempts_by_trainee", "attempts", ["trainee_id"])
    for owner in ("trainee", "attempt"):
        op.create_table(
            f"{owner}_entries",
            sa.Column(f"{owner}_id", sa.Integer, sa.ForeignKey(f"{owner}s.id"), primary_key=True),
            sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
            sa.Column("at", sa.Text, nullable=False),
            sa.Column("kind", sa.Text, nullable=False),
            sa.Column("body", sa.Text, nullable=False),
        )
