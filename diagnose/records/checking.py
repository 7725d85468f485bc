"""Read a whole store to see that it is sound."""

from __future__ import annotations

from sqlalchemy import func, select, text

from diagnose.records.bike_book import BikeBook
from diagnose.records.case_book import CaseBook
from diagnose.records.lessons import read_lessons
from diagnose.records.problems import DamagedStore, StoreProblem
from diagnose.records.store import Store
from diagnose.records.tables import CASES, METADATA
from rules.rulebase import RuleBase


def check_everything(store: Store, rules: RuleBase) -> dict[str, int]:
    """Every page, bike, case and lesson. Returns the rows per table.

    Raises `DamagedStore` that names everything that cannot be read.
    """
    wrong: list[str] = []
    with store.reading() as connection:
        if connection.dialect.name == "sqlite":
            found = connection.execute(text("PRAGMA integrity_check(10)")).scalars().all()
            wrong += [line for line in found if line != "ok"]
        numbers = connection.execute(select(CASES.c.id).order_by(CASES.c.id)).scalars().all()
        book = CaseBook(store, rules)
        for number in numbers:
            try:
                book.read_in(connection, number)
            except StoreProblem as problem:
                wrong.append(str(problem))
        sizes = {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
            for table in METADATA.sorted_tables
        }
    bikes = BikeBook(store)
    for row in bikes.rows(archived=True):
        try:
            bikes.read(row.name)
        except StoreProblem as problem:
            wrong.append(str(problem))
    try:
        read_lessons(store, rules.info.id)
    except StoreProblem as problem:
        wrong.append(str(problem))
    if wrong:
        raise DamagedStore(f"{store.place}: not sound:\n" + "\n".join(wrong))
    return sizes
