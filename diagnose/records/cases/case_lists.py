"""Lists of cases: by bike, by state, by what is written in them, and those like another."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, func, literal, or_, select

from diagnose.records.store.store import Store
from diagnose.records.store.tables import BIKES, CASES
from diagnose.records.store.times import read_moment


@dataclass(frozen=True, slots=True)
class CaseRow:
    """A case in a list."""

    id: int
    bike: str | None
    title: str
    state: str
    outcome: str | None
    cause: str | None
    correction: str | None
    opened_at: datetime
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class CaseFilter:
    """Which cases to list; None does not filter. `text` is searched for regardless of capitals."""

    bike: str | None = None
    state: str | None = None
    outcome: str | None = None
    complaint: str | None = None
    text: str | None = None
    limit: int = 20


@dataclass(frozen=True, slots=True)
class CaseRows:
    """The newest that fit, and how many fit in all."""

    rows: tuple[CaseRow, ...]
    total: int


def list_cases(store: Store, wanted: CaseFilter) -> CaseRows:
    """Cases that fit, latest change first. Raises `StoreProblem`."""
    conditions = _conditions(wanted)
    with store.reading() as connection:
        rows = connection.execute(
            _query()
            .where(*conditions)
            .order_by(CASES.c.changed_at.desc(), CASES.c.id.desc())
            .limit(wanted.limit)
        ).all()
        counted = select(func.count()).select_from(CASES.outerjoin(BIKES)).where(*conditions)
        total = connection.execute(counted).scalar_one()
    return CaseRows(tuple(_row(row) for row in rows), total)


def similar_cases(
    store: Store, complaints: list[str], *, besides: int | None = None, limit: int = 8
) -> list[CaseRow]:
    """Cases that share a complaint: proven ones first, then the newest. Raises `StoreProblem`."""
    if not complaints:
        return []
    same = [_has_complaint(complaint) for complaint in complaints]
    query = _query().where(or_(*same))
    if besides is not None:
        query = query.where(CASES.c.id != besides)
    proven_first = (func.coalesce(CASES.c.outcome, "") == "proven").desc()
    query = query.order_by(proven_first, CASES.c.changed_at.desc()).limit(limit)
    with store.reading() as connection:
        return [_row(row) for row in connection.execute(query)]


def proven_causes(store: Store, complaints: list[str]) -> list[tuple[str, int]]:
    """The causes proven behind these complaints, and how often, most often first."""
    if not complaints:
        return []
    same = or_(*(_has_complaint(complaint) for complaint in complaints))
    count = func.count().label("cases")
    query = (
        select(CASES.c.cause, count)
        .where(same, CASES.c.outcome == "proven", CASES.c.cause.is_not(None))
        .group_by(CASES.c.cause)
        .order_by(count.desc(), CASES.c.cause)
    )
    with store.reading() as connection:
        return [(str(row.cause), int(row.cases)) for row in connection.execute(query)]


def _conditions(wanted: CaseFilter) -> list[ColumnElement[bool]]:
    conditions: list[ColumnElement[bool]] = []
    if wanted.bike is not None:
        conditions.append(BIKES.c.name_key == wanted.bike.casefold())
    if wanted.state is not None:
        conditions.append(CASES.c.state == wanted.state)
    if wanted.outcome is not None:
        conditions.append(CASES.c.outcome == wanted.outcome)
    if wanted.complaint is not None:
        conditions.append(_has_complaint(wanted.complaint))
    for word in (wanted.text or "").casefold().split():
        in_case = CASES.c.search.contains(word, autoescape=True)
        conditions.append(or_(in_case, BIKES.c.name_key.contains(word, autoescape=True)))
    return conditions


def _has_complaint(complaint: str) -> ColumnElement[bool]:
    """`harsh` also finds `harsh/front`."""
    padded = literal(" ").concat(CASES.c.complaints).concat(" ")
    exact = padded.contains(f" {complaint} ", autoescape=True)
    return (
        exact
        if "/" in complaint
        else or_(exact, padded.contains(f" {complaint}/", autoescape=True))
    )


def _query() -> Select[Any]:
    return select(
        CASES.c.id,
        BIKES.c.name.label("bike"),
        CASES.c.title,
        CASES.c.state,
        CASES.c.outcome,
        CASES.c.cause,
        CASES.c.correction,
        CASES.c.opened_at,
        CASES.c.changed_at,
    ).select_from(CASES.outerjoin(BIKES))


def _row(row: Row[Any]) -> CaseRow:
    return CaseRow(
        int(row.id),
        row.bike,
        row.title,
        row.state,
        row.outcome,
        row.cause,
        row.correction,
        read_moment(row.opened_at),
        read_moment(row.changed_at),
    )
