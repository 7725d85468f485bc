"""The store's tables as the newest migration leaves them.

Times are text (`diagnose.records.store.times`), so that every database sorts and keeps them the
same way. Journals are append-only and chained (`chain`); the other columns of `bikes` and `cases`
can be computed from them and are kept for lists and searches. `shown_by` of a lesson has the ids of
what was measured or seen and spoke for the cause, empty for a hunch, null where that was not kept.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    Column,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
)

SCHEMAS = ("0001", "0002", "0003", "0004")
"""Schema versions from first to newest; the migrations carry the same names."""

METADATA = MetaData()


class _Words(TypeDecorator[str]):
    """Text. SQLite keeps anything in any column: bytes become text that the reader will refuse."""

    impl = Text
    cache_ok = True

    def process_result_value(self, value: Any, dialect: Dialect) -> str | None:
        """What the database has, as text."""
        return value.decode("utf-8", "backslashreplace") if isinstance(value, bytes) else value


def _text(name: str, **more: object) -> Column[str]:
    return Column(name, _Words, nullable=False, **more)  # type: ignore[arg-type]


def _chain() -> tuple[Column[int], Column[str]]:
    """Of who owns a journal: how many entries it has, and the digest of the last."""
    return Column("entries", Integer, nullable=False, default=0), _text("head", default="")


BIKES = Table(
    "bikes",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("name"),
    _text("name_key", unique=True),
    Column("archived", Integer, nullable=False),
    _text("made_at"),
    _text("changed_at"),
    *_chain(),
)

BIKE_ENTRIES = Table(
    "bike_entries",
    METADATA,
    Column("bike_id", Integer, ForeignKey("bikes.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("body"),
    _text("chain", default=""),
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
    Column("cause", _Words, nullable=True),
    Column("correction", _Words, nullable=True),
    _text("pack"),
    _text("opened_at"),
    _text("changed_at"),
    *_chain(),
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
    _text("chain", default=""),
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
    Column("shown_by", _Words, nullable=True),
    Column("left_out", Integer, nullable=False, default=0),
    Index("lessons_by_pack", "pack", "at"),
)

SHOP = Table(
    "shop",
    METADATA,
    Column("key", String(60), primary_key=True),
    _text("value"),
)

TRAINEES = Table(
    "trainees",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("name"),
    _text("name_key", unique=True),
    Column("archived", Integer, nullable=False),
    _text("made_at"),
    _text("changed_at"),
    *_chain(),
)

TRAINEE_ENTRIES = Table(
    "trainee_entries",
    METADATA,
    Column("trainee_id", Integer, ForeignKey("trainees.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("body"),
    _text("chain", default=""),
)

ATTEMPTS = Table(
    "attempts",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("trainee_id", Integer, ForeignKey("trainees.id"), nullable=False),
    _text("pack"),
    _text("scenario"),
    Column("lesson", _Words, nullable=True),
    Column("sitting", Integer, nullable=True),
    _text("state"),
    Column("result", _Words, nullable=True),
    _text("began_at"),
    _text("changed_at"),
    *_chain(),
    Index("attempts_by_trainee", "trainee_id"),
)

ATTEMPT_ENTRIES = Table(
    "attempt_entries",
    METADATA,
    Column("attempt_id", Integer, ForeignKey("attempts.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("body"),
    _text("chain", default=""),
)
