"""The case on the bench and the store: every change goes there, and what cannot be kept waits."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from diagnose.case.events import Case, Event, shared_start
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.entries import CaseEntry
from diagnose.records.cases.folding import entries_between, fold, started
from diagnose.records.cases.journal import event_entry
from diagnose.records.cases.recording import RecordedInterview
from diagnose.records.store.problems import Clash
from rules.rulebase import RuleBase


class MovedOn(Exception):
    """Another terminal was first. `lost` was not added; `theirs` is what it added or changed."""

    def __init__(self, lost: tuple[Event, ...], theirs: tuple[Event, ...]) -> None:
        super().__init__()
        self.lost, self.theirs = lost, theirs


class Keeper:
    """Keeps one case, change after change. Not safe to share between threads.

    What could not be written waits in order and goes with the next change, so that a forecast made
    before a correction is kept before it.
    """

    def __init__(self, interview: RecordedInterview) -> None:
        self._interview = interview
        self._waiting: deque[Case] = deque()

    @property
    def kept(self) -> KeptCase | None:
        """The case as the store has it; None before its first complaint."""
        return self._interview.kept

    @property
    def stored(self) -> Case:
        """The case as the store has it, readable by the rule base."""
        return self._interview.case

    @property
    def waiting(self) -> int:
        """How many changes are not in the store."""
        return len(self._waiting)

    def keep(self, case: Case) -> None:
        """Have `case` in the store when this returns.

        Raises `MovedOn`, after which nothing waits and `stored` is what the other terminal left,
        and `StoreProblem`, after which it waits.
        """
        if case != (self._waiting[-1] if self._waiting else self.stored):
            self._waiting.append(case)
        self.keep_waiting()

    def keep_waiting(self) -> None:
        """Try again to write what waits. Raises as `keep` does."""
        while self._waiting:
            before, latest = self.stored, self._waiting[-1]
            try:
                self._interview.case = self._waiting[0]
            except Clash:
                self._waiting.clear()
                lost = _beyond(before, latest)
                raise MovedOn(lost, _beyond(before, self.stored)) from None
            self._waiting.popleft()

    def follow_rename(self, old: str, new: str) -> None:
        """The bike of the case is called otherwise."""
        if self.kept is not None and self.kept.bike == old:
            self._interview.kept = replace(self.kept, bike=new)

    def rewrite(self, change: Callable[[KeptCase], KeptCase]) -> KeptCase:
        """Close the case or open it again. Raises `MovedOn` and `StoreProblem`."""
        assert self.kept is not None
        before = self.stored
        try:
            self._interview.kept = change(self.kept)
        except Clash:
            self._interview.reload()
            raise MovedOn((), _beyond(before, self.stored)) from None
        return self._interview.kept

    def with_waiting(self, at: datetime) -> KeptCase | None:
        """The case as the store would have it if what waits were there."""
        kept = self.kept
        if kept is None or not self._waiting:
            return kept
        added = [(entry, at) for entry in entries_between(kept.case, self._waiting[-1])]
        entries = (*kept.entries, *added)
        return replace(kept, entries=entries, folded=fold(entries, kept.id))


def unkept(rules: RuleBase, case: Case, bike: str | None, at: datetime) -> KeptCase:
    """A case that is in no store, as if it were: its number is 0."""
    begun = Case(case.machine, case.targets)
    entries: list[CaseEntry] = [started(begun, rules.info.id, rules.info.version)]
    entries += [event_entry(event) for event in case.events]
    dated = tuple((entry, at) for entry in entries)
    return KeptCase(0, bike, at, dated, fold(dated, 0))


def _beyond(old: Case, new: Case) -> tuple[Event, ...]:
    """What `new` says from where it parts from `old`."""
    return new.events[shared_start(old.events, new.events) :]
