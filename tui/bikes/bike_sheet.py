"""Everything that the screens show of one bike, read from the store at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnose.records.bikes.against_baseline import SettingDifference, differences
from diagnose.records.bikes.before_ride import Check, before_ride
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.service import ClockState, clock_states
from diagnose.records.cases.case_lists import CaseFilter, CaseRow, list_cases
from diagnose.records.store.store import Store
from diagnose.words.bike_words import Past, past_of
from diagnose.words.settings import way_back
from rules.rulebase import RuleBase

_MOST_CASES = 50


@dataclass(frozen=True, slots=True)
class BikeSheet:
    """A bike as it stands, what is to be set right, what is due, and what has been."""

    bike: Bike
    differences: tuple[SettingDifference, ...]
    clocks: tuple[ClockState, ...]
    checks: tuple[Check, ...]
    past: tuple[Past, ...]
    cases: tuple[CaseRow, ...]
    today: date

    @property
    def overdue(self) -> tuple[ClockState, ...]:
        """The service clocks that have run out."""
        return tuple(state for state in self.clocks if state.overdue)

    @property
    def moved(self) -> tuple[SettingDifference, ...]:
        """The settings that differ from the manual's figure or the baseline."""
        return tuple(row for row in self.differences if way_back(row))

    @property
    def latest(self) -> Past | None:
        """The entry that was made last, even where it is for an earlier day."""
        return max((p for p in self.past if p.seq), key=lambda p: p.seq, default=None)


def read_sheet(rules: RuleBase, store: Store, name: str, today: date) -> BikeSheet:
    """The sheet of a bike. Raises `StoreProblem`, `NotFound`."""
    bike = BikeBook(store).read(name)
    cases = list_cases(store, CaseFilter(bike=bike.name, limit=_MOST_CASES)).rows
    return sheet_of(rules, bike, cases, today)


def sheet_of(rules: RuleBase, bike: Bike, cases: tuple[CaseRow, ...], today: date) -> BikeSheet:
    """The sheet of a bike that has been read."""
    moved_first = sorted(differences(rules, bike), key=lambda row: not way_back(row))
    return BikeSheet(
        bike,
        tuple(moved_first),
        tuple(clock_states(rules, bike, today)),
        tuple(before_ride(rules, bike, today)),
        tuple(reversed(past_of(rules, bike))),
        cases,
        today,
    )
