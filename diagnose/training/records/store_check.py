"""Read a whole store to see that it is sound."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial

from sqlalchemy import func, select, text

from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.learning.lessons import learning_state, read_lessons
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, StoreProblem
from diagnose.records.store.tables import BIKES, CASES, METADATA
from diagnose.records.store.times import read_moment
from diagnose.training.records.checking import check_training
from rules.rulebase import RuleBase


def check_everything(store: Store, rules: RuleBase) -> dict[str, int]:
    """Every page, bike, case, lesson and trainee. Returns the rows per table.

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
        names = connection.execute(select(BIKES.c.name)).scalars().all()
    bikes = BikeBook(store)
    wrong += [
        *_problems(bikes.rows),
        *(problem for name in names for problem in _problems(partial(bikes.read, name))),
        *_problems(partial(list_cases, store, CaseFilter(limit=len(numbers) + 1))),
        *_problems(partial(learning_state, store)),
        *_problems(partial(read_lessons, store, rules.info.id)),
        *check_training(store),
    ]
    if wrong:
        raise DamagedStore(f"{store.place}: not sound:\n" + "\n".join(wrong))
    return sizes


def newest_entry(store: Store) -> datetime | None:
    """When something was last kept, by the clock of its bench. Raises `DamagedStore`."""
    with store.reading() as connection:
        newest = [
            connection.execute(select(func.max(table.c.changed_at))).scalar_one()
            for table in (BIKES, CASES)
        ]
    return max((read_moment(text) for text in newest if text), default=None)


def _problems(read: Callable[[], object]) -> list[str]:
    try:
        read()
    except StoreProblem as problem:
        return [str(problem)]
    return []
