"""From a journal to its case, and from a changed case to the entries that make the change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.case.events import Case, Corrected, Event, shared_start
from diagnose.records.cases.entries import (
    AnswerChanged,
    AnsweredEntry,
    Assumed,
    CaseEntry,
    Closed,
    Details,
    Forecast,
    MachineSet,
    Reopened,
    Started,
    Struck,
    TakenBack,
)
from diagnose.records.cases.journal import event_entry, event_of
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.store_problems import DamagedStore


@dataclass(frozen=True, slots=True)
class Said:
    """An event that stands, when it was recorded, and what it rests on if nobody was asked."""

    event: Event
    at: datetime
    assumed: Assumed | None = None


@dataclass(frozen=True, slots=True)
class Folded:
    """What a journal gives. `case` has the events that stand; `closed` is None while it is open;
    `details` is the paperwork, filled in as far as it is.

    `forecasts` has the one kept just before each correction that still stands, the first where
    one was done again.
    """

    case: Case
    said: tuple[Said, ...]
    closed: Closed | None
    forecasts: Mapping[str, Forecast]
    details: Details

    @property
    def first_forecast(self) -> Forecast | None:
        """The one kept before the first correction that still stands."""
        return next(iter(self.forecasts.values()), None)


class _Fold:
    """The state of a case while its journal is read."""

    def __init__(self) -> None:
        self.machine: Mapping[str, str] = {}
        self.targets: Mapping[str, Amount] = {}
        self.said: list[Said] = []
        self.closed: Closed | None = None
        self.forecasts: dict[int, Forecast] = {}
        self.details = Details()

    def add(self, entry: CaseEntry, at: datetime, where: str) -> None:
        try:
            self._add(entry, at)
        except IndexError:
            raise DamagedStore(f"{where} points at something that was never said") from None

    def _add(self, entry: CaseEntry, at: datetime) -> None:
        match entry:
            case Started() | MachineSet():
                self.machine, self.targets = entry.machine, entry.targets
            case TakenBack(count=count):
                if count > len(self.said):
                    raise IndexError(count)
                del self.said[-count:]
            case AnswerChanged(index=index, event=event):
                self.said[index] = _said(event, at)
            case Struck(index=index):
                del self.said[index]
                self.forecasts = {n - (n > index): f for n, f in self.forecasts.items()}
            case Forecast():
                self.forecasts[len(self.said)] = entry
            case Closed():
                self.closed = entry
            case Reopened():
                self.closed = None
            case Details():
                self.details = entry
            case _:
                self.said.append(_said(entry, at))
        self.forecasts = {n: f for n, f in self.forecasts.items() if n <= len(self.said)}

    def result(self) -> Folded:
        targets = {name: amount.quantity() for name, amount in self.targets.items()}
        case = Case(dict(self.machine), targets, tuple(said.event for said in self.said))
        forecasts: dict[str, Forecast] = {}
        for number in sorted(self.forecasts):
            event = self.said[number].event if number < len(self.said) else None
            if isinstance(event, Corrected):
                forecasts.setdefault(event.correction, self.forecasts[number])
        return Folded(case, tuple(self.said), self.closed, forecasts, self.details)


def _said(entry: CaseEntry, at: datetime) -> Said:
    assumed = entry.assumed if isinstance(entry, AnsweredEntry) else None
    return Said(event_of(entry), at, assumed)  # type: ignore[arg-type]


def fold(entries: Iterable[tuple[CaseEntry, datetime]], case_id: int) -> Folded:
    """The case that a journal gives. Raises `DamagedStore` for an impossible journal."""
    state = _Fold()
    for number, (entry, at) in enumerate(entries, 1):
        state.add(entry, at, f"entry {number} of case {case_id}")
    return state.result()


def entries_between(old: Case, new: Case) -> Iterator[CaseEntry]:
    """What to add to the journal of `old` so that it gives `new`."""
    if old.machine != new.machine or old.targets != new.targets:
        yield MachineSet(machine=dict(new.machine), targets=_amounts(new))
    if old.events == new.events:
        return
    shared = shared_start(old.events, new.events)
    longer = len(new.events) - len(old.events)
    if longer == 0 and old.events[shared + 1 :] == new.events[shared + 1 :] != ():
        yield AnswerChanged(index=shared, event=event_entry(new.events[shared]))
        return
    if longer == -1 and old.events[shared + 1 :] == new.events[shared:] != ():
        yield Struck(index=shared)
        return
    if shared < len(old.events):
        yield TakenBack(count=len(old.events) - shared)
    for event in new.events[shared:]:
        yield event_entry(event)


def started(case: Case, pack: str, version: str) -> Started:
    """The first entry of a case under a rule base."""
    return Started(
        pack=pack, pack_version=version, machine=dict(case.machine), targets=_amounts(case)
    )


def _amounts(case: Case) -> dict[str, Amount]:
    return {name: Amount.of(quantity) for name, quantity in case.targets.items()}
