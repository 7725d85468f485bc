"""The store's tables as the newest migration leaves them.

Times are text (`diagnose.records.times`), so that every database sorts and keeps them alike.
Journals are append-only; what else stands in `bikes` and `cases` can be worked out from them and is
kept for lists and searches.
"""

from __future__ import annotations

from sqlalchemy import (
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

SCHEMAS = ("0001", "0002")
"""Schema versions from first to newest; the migrations carry the same names."""

METADATA = MetaData()


def _text(name: str, **more: object) -> Column[str]:
    return Column(name, Text, nullable=False, **more)  # type: ignore[arg-type]


BIKES = Table(
    "bikes",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("name"),
    _text("name_key", unique=True),
    Column("archived", Integer, nullable=False),
    _text("made_at"),
    _text("changed_at"),
)

BIKE_ENTRIES = Table(
    "bike_entries",
    METADATA,
    Column("bike_id", Integer, ForeignKey("bikes.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("body"),
)

CASES = Table(
    "cases",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("bike_id", Integer, ForeignKey("bikes.id"), nullable=True),
    _text("title"),
    _text("complaints"),
    _text("search"),
    _text("state"),
    Column("outcome", String(20), nullable=True),
    Column("cause", Text, nullable=True),
    Column("correction", Text, nullable=True),
    _text("pack"),
    _text("opened_at"),
    _text("changed_at"),
    Index("cases_by_bike", "bike_id"),
    Index("cases_by_change", "changed_at"),
)

CASE_ENTRIES = Table(
    "case_entries",
    METADATA,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("body"),
)

LESSONS = Table(
    "lessons",
    METADATA,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    _text("pack"),
    _text("cause"),
    _text("traits"),
    _text("states"),
    _text("chances"),
    _text("at"),
    Index("lessons_by_pack", "pack", "at"),
)

SHOP = Table(
    "shop",
    METADATA,
    Column("key", String(60), primary_key=True),
    _text("value"),
)
