"""Read a whole store to see that it is sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from sqlalchemy import func, select, text

from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.learning.lessons import learning_state, read_lessons
from diagnose.records.store.chain.damage import Damage, damage_in
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, StoreProblem
from diagnose.records.store.tables import BIKES, CASES, METADATA
from diagnose.records.store.times import read_moment
from diagnose.training.records.checking import check_training
from rules.rulebase import RuleBase

_BACKUP = "A backup may have it whole: `badride restore BACKUP --store NEWFILE`"


@dataclass(frozen=True, slots=True)
class Looked:
    """A store that was read through: the rows per table, and all that is not as it should be."""

    sizes: dict[str, int]
    damage: tuple[Damage, ...]


def check_everything(store: Store, rules: RuleBase) -> dict[str, int]:
    """Every page, journal, bike, case, lesson and trainee. Returns the rows per table.

    Raises `DamagedStore` that names everything that is missing, changed or cannot be read.
    """
    looked = look_through(store, rules)
    if looked.damage:
        raise DamagedStore(
            f"{store.place}: not sound:\n" + "\n".join(str(one) for one in looked.damage)
        )
    return looked.sizes


def look_through(store: Store, rules: RuleBase) -> Looked:
    """Read every page, journal, bike, case, lesson and trainee. Raises `StoreProblem` where not
    even that can be done."""
    damage: list[Damage] = []
    with store.reading() as connection:
        if connection.dialect.name == "sqlite":
            found = connection.execute(text("PRAGMA integrity_check(10)")).scalars().all()
            damage += [Damage("the file", str(line), _BACKUP) for line in found if line != "ok"]
        damage += damage_in(connection)
        columns = (CASES.c.id, CASES.c.state, CASES.c.outcome, CASES.c.cause, CASES.c.correction)
        heads = connection.execute(select(*columns).order_by(CASES.c.id)).all()
        book = CaseBook(store, rules)
        for number, *listed in heads:
            try:
                closed = book.read_in(connection, number).folded.closed
            except StoreProblem as problem:
                damage.append(Damage(f"case {number}", str(problem), _BACKUP))
                continue
            says = (
                ["closed", closed.outcome, closed.cause, closed.correction]
                if closed
                else ["open", None, None, None]
            )
            if listed != says:
                told = (listed[1] or listed[0], says[1] or says[0])
                what = "it is listed as {}, and its journal says {}".format(*told)
                advice = f"`badride cases show {number} --journal` shows which is right"
                damage.append(Damage(f"case {number}", what, advice))
        sizes = {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
            for table in METADATA.sorted_tables
        }
        names = connection.execute(select(BIKES.c.name)).scalars().all()
    bikes = BikeBook(store)
    damage += [
        *_problems("the list of bikes", bikes.rows),
        *(
            problem
            for name in names
            for problem in _problems(f"bike {str(name)[:60]}", partial(bikes.read, name))
        ),
        *_problems(
            "the list of cases", partial(list_cases, store, CaseFilter(limit=len(heads) + 1))
        ),
        *_problems("learning", partial(learning_state, store)),
        *_problems("learning", partial(read_lessons, store, rules.info.id)),
        *(Damage("training", problem, _BACKUP) for problem in check_training(store)),
    ]
    return Looked(sizes, tuple(damage))


def newest_entry(store: Store) -> datetime | None:
    """When something was last kept, by the clock of its bench. Raises `DamagedStore`."""
    with store.reading() as connection:
        newest = [
            connection.execute(select(func.max(table.c.changed_at))).scalar_one()
            for table in (BIKES, CASES)
        ]
    return max((read_moment(text) for text in newest if text), default=None)


def _problems(where: str, read: Callable[[], object]) -> list[Damage]:
    try:
        read()
    except StoreProblem as problem:
        return [Damage(where, str(problem), _BACKUP)]
    return []
