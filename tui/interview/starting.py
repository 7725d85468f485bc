"""What is known of a bike when a case on it begins."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_lists import CaseFilter, CaseRow, list_cases
from diagnose.records.cases.known import Assumption, assumptions
from diagnose.records.store.store import Store
from rules.rulebase import RuleBase
from tui.terminal.clock import day_of

_EARLIER = 3


@dataclass(frozen=True, slots=True)
class KnownOfBike:
    """The bike, what its record answers, and its latest cases."""

    bike: Bike
    assumptions: tuple[Assumption, ...]
    earlier: tuple[CaseRow, ...]
    today: date


def what_is_known(rules: RuleBase, store: Store, bike: str) -> KnownOfBike:
    """Read what the store knows of a bike. Raises `StoreProblem`, `NotFound` if it is not there."""
    found = BikeBook(store).read(bike)
    today = day_of(store.now())
    earlier = list_cases(store, CaseFilter(bike=found.name, limit=_EARLIER)).rows
    return KnownOfBike(found, tuple(assumptions(rules, found, today)), earlier, today)
