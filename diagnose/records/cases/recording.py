"""An interview whose every event is in the store before anything else is asked."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.case.events import Case, Complained, Corrected, shared_start
from diagnose.diagnosis import Interview, Workshop
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.entries import Assumed, Forecast
from diagnose.records.cases.fitting import fitted
from diagnose.records.store.problems import Clash

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
                assumed = self._assumed[: shared_start(self._case.events, case.events)]
                self.kept = self.book.begin(case, self.bike, assumed)
            return
        forecast = None
        if case.events[len(self._case.events) :] and isinstance(case.events[-1], Corrected):
            forecast = self._forecast()
        stored = self._as_stored(case)
        try:
            self.kept = self.book.record(self.kept, stored, forecast)
        except Clash:
            self.reload()
            raise

    def reload(self) -> None:
        """Stand where another terminal has left the case. Raises `StoreProblem`."""
        assert self.kept is not None
        self.kept = self.book.read(self.kept.id)
        self._case = fitted(self.rules, self.kept.case)
        self._assessment = None

    def _as_stored(self, case: Case) -> Case:
        """`case` with what this rule base does not know as it stands in the store."""
        assert self.kept is not None
        there, shown, wanted = self.kept.case.events, self._case.events, case.events
        start = shared_start(shown, wanted)
        end = shared_start(shown[start:][::-1], wanted[start:][::-1])
        events = (*there[:start], *wanted[start : len(wanted) - end], *there[len(there) - end :])
        same_machine = (case.machine, case.targets) == (self._case.machine, self._case.targets)
        on = self.kept.case if same_machine else case
        return Case(on.machine, on.targets, events)

    def _forecast(self) -> Forecast:
        chances = {
            item.cause: round(item.probability, 6)
            for item in self.assessment.ranking.causes
            if item.probability >= _WORTH_KEEPING
        }
        return Forecast(chances=chances, learned=self._learned)
