"""Entries chained by digest, and what spoke for the cause of a lesson."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

import sqlalchemy as sa
from alembic import op

from diagnose.records.store.chain.digests import chained

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Chain what is there as it stands. What spoke for earlier lessons is not known here;
    `badride learned --relearn` looks it up in their cases."""
    for owner in ("bike", "case", "trainee", "attempt"):
        op.add_column(
            f"{owner}_entries", sa.Column("chain", sa.Text, nullable=False, server_default="")
        )
        op.add_column(
            f"{owner}s", sa.Column("entries", sa.Integer, nullable=False, server_default="0")
        )
        op.add_column(f"{owner}s", sa.Column("head", sa.Text, nullable=False, server_default=""))
        _chain(f"{owner}s", f"{owner}_entries", f"{owner}_id")
    op.add_column("lessons", sa.Column("shown_by", sa.Text, nullable=True))
    op.add_column("lessons", sa.Column("left_out", sa.Integer, nullable=False, server_default="0"))


def _chain(owners_name: str, entries_name: str, key: str) -> None:
    entries = sa.table(entries_name, *map(sa.column, (key, "seq", "at", "kind", "body", "chain")))
    owners = sa.table(owners_name, *map(sa.column, ("id", "entries", "head")))
    connection = op.get_bind()
    rows = connection.execute(sa.select(entries).order_by(entries.c[key], entries.c.seq))
    for owner, group in groupby(rows.mappings().all(), key=itemgetter(key)):
        linked = list(chained("", owner, map(dict, group)))
        connection.execute(
            entries.update()
            .where(entries.c[key] == sa.bindparam("of"), entries.c.seq == sa.bindparam("number"))
            .values(chain=sa.bindparam("link")),
            [{"of": owner, "number": row["seq"], "link": chain} for row, chain in linked],
        )
        last, head = linked[-1]
        connection.execute(
            owners.update().where(owners.c.id == owner).values(entries=last["seq"], head=head)
        )
