"""An interview whose every event is in the store before anything else is asked."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.case import Case, Complained, Corrected
from diagnose.interview import Interview, Workshop
from diagnose.records.case_book import CaseBook, KeptCase
from diagnose.records.entries import Assumed, Forecast
from diagnose.records.fitting import fitted
from diagnose.records.problems import Clash

_WORTH_KEEPING = 1e-4


class RecordedInterview(Interview):
    """Records to `book`. A case is begun with its first complaint, so that none stays empty.

    Changing the case raises `StoreProblem` when it could not be kept; the interview then stands
    where it stood before, or, after a `Clash`, where the other terminal has left it.
    """

    def __init__(
        self,
        workshop: Workshop,
        book: CaseBook,
        case: Case | None = None,
        *,
        kept: KeptCase | None = None,
        bike: str | None = None,
        assumed: Sequence[Assumed | None] = (),
        learned: bool = False,
    ) -> None:
        start = case if kept is None else kept.case
        super().__init__(workshop, None if start is None else fitted(workshop.rules, start))
        self.book = book
        self.kept = kept
        self.bike = bike if kept is None else kept.bike
        self._assumed = tuple(assumed)
        self._learned = learned

    @property
    def case(self) -> Case:
        """The case so far."""
        return self._case

    @case.setter
    def case(self, case: Case) -> None:
        self._keep(case)
        self._case = case
        self._assessment = None

    def _keep(self, case: Case) -> None:
        if self.kept is None:
            if any(isinstance(event, Complained) for event in case.events):
                assumed = self._assumed[: _same(self._case, case)]
                self.kept = self.book.begin(case, self.bike, assumed)
            return
        forecast = None
        if case.events[len(self._case.events) :] and isinstance(case.events[-1], Corrected):
            forecast = self._forecast()
        stored = self._as_stored(case)
        try:
            self.kept = self.book.record(self.kept, stored, forecast)
        except Clash:
            self.kept = self.book.read(self.kept.id)
            self._case = fitted(self.rules, self.kept.case)
            self._assessment = None
            raise

    def _as_stored(self, case: Case) -> Case:
        """`case` with what this rule base does not know as it stands in the store."""
        assert self.kept is not None
        there = self.kept.case.events
        shared = _same(self._case, case)
        same_machine = (case.machine, case.targets) == (self._case.machine, self._case.targets)
        on = self.kept.case if same_machine else case
        return Case(on.machine, on.targets, (*there[:shared], *case.events[shared:]))

    def _forecast(self) -> Forecast:
        chances = {
            item.cause: round(item.probability, 6)
            for item in self.assessment.ranking.causes
            if item.probability >= _WORTH_KEEPING
        }
        return Forecast(chances=chances, learned=self._learned)


def _same(old: Case, new: Case) -> int:
    """How many events stand at the start of both."""
    count = 0
    for one, other in zip(old.events, new.events, strict=False):
        if one != other:
            break
        count += 1
    return count
