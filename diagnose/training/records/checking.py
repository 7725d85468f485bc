"""Read everything a store knows of trainees, to see that it is sound."""

from __future__ import annotations

from sqlalchemy import select

from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import StoreProblem
from diagnose.records.store.tables import ATTEMPTS, TRAINEES
from diagnose.training.records.attempts import AttemptBook
from diagnose.training.records.trainee_book import TraineeBook


def check_training(store: Store) -> list[str]:
    """What cannot be read of trainees and their cases, in words. Raises `StoreProblem`."""
    wrong: list[str] = []
    with store.reading() as connection:
        names = connection.execute(select(TRAINEES.c.name)).scalars().all()
        numbers = connection.execute(select(ATTEMPTS.c.id, ATTEMPTS.c.pack)).all()
    trainees = TraineeBook(store)
    for name in names:
        try:
            trainees.read(name)
        except StoreProblem as problem:
            wrong.append(str(problem))
    for number, pack in numbers:
        try:
            AttemptBook(store, pack).read(number)
        except StoreProblem as problem:
            wrong.append(str(problem))
    for pack in sorted({pack for _, pack in numbers}):
        try:
            AttemptBook(store, pack).rows()
        except StoreProblem as problem:
            wrong.append(str(problem))
    return wrong
