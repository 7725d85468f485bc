"""A desk for trainees on the small pack."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from diagnose.records.store.opening import open_memory, open_store
from diagnose.records.store.place import at_path
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.customers.guide import Guide, load_guide
from diagnose.training.desk import TrainingDesk
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase
from tests.clocks import Ticking
from tests.places import MOWER


@pytest.fixture
def calendar() -> Ticking:
    return Ticking()


@pytest.fixture(scope="session")
def mower_teaching(mower: RuleBase) -> Teaching:
    return load_teaching(mower, (MOWER,))


@pytest.fixture(scope="session")
def mower_guide(mower_teaching: Teaching) -> Guide:
    return mower_teaching.guide


@pytest.fixture(scope="session")
def offroad_guide(offroad: RuleBase) -> Guide:
    return load_guide(offroad, OFFROAD)


@pytest.fixture
def desk(mower_teaching: Teaching, calendar: Ticking) -> TrainingDesk:
    """A desk whose records end with the test."""
    made = TrainingDesk(mower_teaching, open_memory(calendar))
    made.trainees.add("Ann")
    return made


OpenDesk = Callable[[], TrainingDesk]


@pytest.fixture
def open_desk(mower_teaching: Teaching, calendar: Ticking, tmp_path: Path) -> Iterator[OpenDesk]:
    """Opens the same store on disk, again and again, as other processes would."""
    opened = []

    def another() -> TrainingDesk:
        store = open_store(at_path(tmp_path / "store.sqlite"), calendar, create=True)
        opened.append(store)
        return TrainingDesk(mower_teaching, store)

    yield another
    for store in opened:
        store.close()
