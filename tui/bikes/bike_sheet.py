"""Everything the screens show of one bike, read from the store in one go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from diagnose.records.bikes.before_ride import Check, before_ride
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.comparing import Difference, differences
from diagnose.records.bikes.service import ClockState, clock_states
from diagnose.records.cases.case_lists import CaseFilter, CaseRow, list_cases
from diagnose.records.store.store import Store
from rules.rulebase import RuleBase
from tui.bikes.aims import way_back
from tui.bikes.bike_lines import answer_text_of
from tui.bikes.titles import lowered, setting_title, short_titles

_MOST_CASES = 50


@dataclass(frozen=True, slots=True)
class Past:
    """Something that happened to the bike. `seq` is its number in the journal, 0 for a figure,
    which is not taken back but replaced."""

    seq: int
    on: date
    what: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class BikeSheet:
    """A bike as it stands, what is to be set right, what is due, and what has been."""

    bike: Bike
    differences: tuple[Difference, ...]
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
    def moved(self) -> tuple[Difference, ...]:
        """What stands otherwise than by the manual's figure or the baseline."""
        return tuple(row for row in self.differences if way_back(row))

    @property
    def latest(self) -> Past | None:
        """What was written down last, whatever day it was for."""
        return max((p for p in self.past if p.seq), key=lambda p: p.seq, default=None)


def read_sheet(rules: RuleBase, store: Store, name: str, today: date) -> BikeSheet:
    """The sheet of a bike. Raises `StoreProblem`, `NotFound`."""
    bike = BikeBook(store).read(name)
    cases = list_cases(store, CaseFilter(bike=bike.name, limit=_MOST_CASES)).rows
    return sheet_of(rules, bike, cases, today)


def sheet_of(rules: RuleBase, bike: Bike, cases: tuple[CaseRow, ...], today: date) -> BikeSheet:
    """The sheet of a bike that has been read."""
    past = sorted(_past(rules, bike), key=lambda item: (item.on, item.seq), reverse=True)
    moved_first = sorted(differences(rules, bike), key=lambda row: not way_back(row))
    return BikeSheet(
        bike,
        tuple(moved_first),
        tuple(clock_states(rules, bike, today)),
        tuple(before_ride(rules, bike, today)),
        tuple(past),
        cases,
        today,
    )


def _past(rules: RuleBase, bike: Bike) -> Iterator[Past]:
    marked = {setting.seq for setting in bike.baseline.values()}
    titles = short_titles(rules, bike.now)
    for s in bike.settings:
        baseline = ", baseline" if s.seq in marked else ""
        yield Past(
            s.seq,
            s.on,
            f"{titles[s.answer.observation]}: {answer_text_of(rules, s)}{baseline}",
            s.note,
        )
    for r in bike.rides:
        meter = f", meter {r.meter:.6g} h" if r.meter is not None else ""
        yield Past(r.seq, r.on, f"Ride: {r.hours:.3g} h{meter}, {r.total:.4g} h in all", r.note)
    for service in bike.services:
        title = lowered(setting_title(rules, service.clock))
        what = f"Service: {title}, from nought at {service.total:.4g} h"
        yield Past(service.seq, service.on, what, service.note)
    for name, figure in bike.targets.items():
        spec = rules.specs[name].title if name in rules.specs else name
        yield Past(0, figure.on, f"Figure: {spec} {figure.quantity}", f"read in {figure.read_in}")
