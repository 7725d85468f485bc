"""Keeping a diagnosis in the store, and closing and reopening what is kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

from diagnose.advice.assessor import Assessment
from diagnose.case.events import Asking, Case, Complained, Corrected, Told, shared_start
from diagnose.diagnosis import Diagnosis, MovedOn
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.entries import Assumed, CaseEntry, Forecast
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.folding import entries_between, fold, started
from diagnose.records.cases.journal import event_entry
from diagnose.records.cases.looked_up import entries_for_the_bike, found_out
from diagnose.records.store.store_problems import Clash
from rules.rulebase import RuleBase

_WORTH_KEEPING = 1e-4


class CaseKeeping:
    """Keeps one case in `book`. It is begun with the first answer to a complaint, so that nothing
    is kept of a case that was only opened.

    `assumed` says, event for event of the `start` case, what was taken from the records; `learned`
    whether the rule base has figures learned from the shop's proven cases.
    """

    def __init__(
        self,
        book: CaseBook,
        start: Case | None = None,
        *,
        kept: KeptCase | None = None,
        bike: str | None = None,
        assumed: Sequence[Assumed | None] = (),
        learned: bool = False,
    ) -> None:
        self.book = book
        self.kept = kept
        self.bike = bike if kept is None else kept.bike
        self._stored = fitted(book.rules, kept.case if kept is not None else start or Case())
        self._assumed = tuple(assumed)
        self._learned = learned
        self._told_the_bike = found_out(book.rules, kept)

    @property
    def stored(self) -> Case:
        """The case as the store has it, with what this rule base does not know as notes."""
        return self._stored

    @property
    def closed_as(self) -> str | None:
        """The outcome of a closed case; None while it is open or not kept yet."""
        closed = self.kept.folded.closed if self.kept else None
        return closed.outcome if closed else None

    def write(self, case: Case, before_correction: Callable[[], Assessment]) -> bool:
        """See `diagnose.diagnosis.Keeping`. Raises `StoreProblem` when it cannot be written."""
        if self.kept is None:
            assumed = self._assumed[: shared_start(self._stored.events, case.events)]
            if _is_begun(case, len(assumed)):
                self._begin(case, assumed, before_correction)
            self._assumed = assumed
        else:
            added = case.events[len(self._stored.events) :]
            forecast = None
            if added and isinstance(added[-1], Corrected):
                forecast = self._forecast(before_correction())
            try:
                self.kept = self.book.record(self.kept, self._as_stored(case), forecast)
            except Clash:
                self._read_again()
                return False
        self._stored = case
        self._tell_the_bike()
        return True

    def _begin(
        self,
        case: Case,
        assumed: Sequence[Assumed | None],
        before_correction: Callable[[], Assessment],
    ) -> None:
        is_work = isinstance(case.events[-1], Corrected)
        start = Case(case.machine, case.targets, case.events[:-1]) if is_work else case
        self.kept = self.book.begin(start, self.bike, assumed)
        if is_work:  # with what was thought likely before it
            forecast = self._forecast(before_correction())
            self.kept = self.book.record(self.kept, case, forecast)

    def _tell_the_bike(self) -> None:
        """Bring the record of the bike up to what the case has found out about it for good."""
        found = found_out(self.book.rules, self.kept)
        if self.kept is None or self.kept.bike is None or found == self._told_the_bike:
            return
        bikes = BikeBook(self.book.store)
        # another terminal may have renamed it
        name = self.book.read(self.kept.id).bike
        if name is not None:
            told = entries_for_the_bike(
                self.book.rules, self.kept, self._told_the_bike, found, bikes.read(name)
            )
            if told:
                bikes.append(name, told)
        self._told_the_bike = found

    def rewrite(self, change: Callable[[KeptCase], KeptCase]) -> KeptCase:
        """Close the case or open it again. Raises `MovedOn` when another terminal was first, and
        `StoreProblem`."""
        assert self.kept is not None
        before = self._stored
        try:
            self.kept = change(self.kept)
        except Clash:
            self._read_again()
            start = shared_start(before.events, self._stored.events)
            raise MovedOn((), self._stored.events[start:]) from None
        return self.kept

    def follow_rename(self, old: str, new: str) -> None:
        """If the case is on the bike called `old`, it is from now on on the bike called `new`."""
        if self.bike == old:
            self.bike = new
        if self.kept is not None and self.kept.bike == old:
            self.kept = replace(self.kept, bike=new)

    def _read_again(self) -> None:
        assert self.kept is not None
        self.kept = self.book.read(self.kept.id)
        self._stored = fitted(self.book.rules, self.kept.case)
        self._told_the_bike = found_out(self.book.rules, self.kept)

    def _as_stored(self, case: Case) -> Case:
        """`case` with the original events of the store where this rule base does not know them."""
        assert self.kept is not None
        there, shown, wanted = self.kept.case.events, self._stored.events, case.events
        start = shared_start(shown, wanted)
        end = shared_start(shown[start:][::-1], wanted[start:][::-1])
        events = (*there[:start], *wanted[start : len(wanted) - end], *there[len(there) - end :])
        same_bike = (case.machine, case.targets) == (self._stored.machine, self._stored.targets)
        on = self.kept.case if same_bike else case
        return Case(on.machine, on.targets, events)

    def _forecast(self, assessment: Assessment) -> Forecast:
        chances = {
            item.cause: round(item.probability, 6)
            for item in assessment.ranking.causes
            if item.probability >= _WORTH_KEEPING
        }
        return Forecast(chances=chances, learned=self._learned)


def _is_begun(case: Case, taken: int) -> bool:
    """Whether anything was said besides complaints, the rider's words and who asks; the first
    `taken` events are from the record."""
    said = case.events[taken:]
    return any(isinstance(event, Complained) for event in case.events) and any(
        not isinstance(event, Complained | Told | Asking) for event in said
    )


def on_paper(diagnosis: Diagnosis, at: datetime, bike: str | None = None) -> KeptCase:
    """The case for a job card; what waits to be written counts as written `at`.

    A case that is in no store has the number 0; `bike` is then the name of its bike.
    """
    keeping = diagnosis.keeping
    kept = keeping.kept if isinstance(keeping, CaseKeeping) else None
    if kept is None:
        named = keeping.bike if isinstance(keeping, CaseKeeping) else bike
        return unkept(diagnosis.rules, diagnosis.case, named, at)
    if not diagnosis.waiting:
        return kept
    added = [(entry, at) for entry in entries_between(kept.case, diagnosis.case)]
    entries = (*kept.entries, *added)
    return replace(kept, entries=entries, folded=fold(entries, kept.id))


def unkept(rules: RuleBase, case: Case, bike: str | None, at: datetime) -> KeptCase:
    """A case that is in no store in the form of a kept one, with the number 0."""
    begun = Case(case.machine, case.targets)
    entries: list[CaseEntry] = [started(begun, rules.info.id, rules.info.version)]
    entries += [event_entry(event) for event in case.events]
    dated = tuple((entry, at) for entry in entries)
    return KeptCase(0, bike, at, dated, fold(dated, 0))
