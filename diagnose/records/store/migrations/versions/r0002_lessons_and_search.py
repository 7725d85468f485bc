"""What closed cases teach, what they were closed on, and a column to search cases by."""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Older cases are searched by their title; `badride learned --relearn` learns from them."""
    op.add_column("cases", sa.Column("search", sa.Text, nullable=False, server_default=""))
    op.add_column("cases", sa.Column("cause", sa.Text, nullable=True))
    op.add_column("cases", sa.Column("correction", sa.Text, nullable=True))
    cases = sa.table("cases", sa.column("search", sa.Text), sa.column("title", sa.Text))
    op.execute(cases.update().values(search=sa.func.lower(cases.c.title)))
    _fill_in_closings()
    op.create_table(
        "lessons",
        sa.Column("case_id", sa.Integer, sa.ForeignKey("cases.id"), primary_key=True),
        sa.Column("pack", sa.Text, nullable=False),
        sa.Column("cause", sa.Text, nullable=False),
        sa.Column("traits", sa.Text, nullable=False),
        sa.Column("states", sa.Text, nullable=False),
        sa.Column("chances", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
    )
    op.create_index("lessons_by_pack", "lessons", ["pack", "at"])
    op.create_table(
        "shop",
        sa.Column("key", sa.String(60), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )


def _fill_in_closings() -> None:
    entries = sa.table("case_entries", *map(sa.column, ("case_id", "seq", "kind", "body")))
    cases = sa.table("cases", *map(sa.column, ("id", "state", "cause", "correction")))
    connection = op.get_bind()
    closed = sa.select(entries.c.case_id, entries.c.body).where(entries.c.kind == "closed")
    for case_id, body in connection.execute(
        closed.order_by(entries.c.case_id, entries.c.seq)
    ).all():
        said = json.loads(body)
        connection.execute(
            cases.update()
            .where(cases.c.id == case_id, cases.c.state == "closed")
            .values(cause=said.get("cause"), correction=said.get("correction"))
        )
