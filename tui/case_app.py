"""The case on the bench and the work on it, which runs in workers while keys wait."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from textual import work
from textual.screen import Screen

from diagnose.case import Case, Event, standing
from diagnose.foresight import Outcome
from diagnose.interview import Workshop
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.bench import Assessed, Bench
from tui.screens.base import CardScreen
from tui.screens.warning import WarningScreen
from tui.shelf import Bike, KeptCase, Shelf
from tui.typeahead import TypeAheadApp

Foreseen = dict[str, tuple[Outcome, ...]]


class CaseApp(TypeAheadApp):
    """Loads the rule base, assesses the case after every change, and tells the screens.

    `open_workshop` may raise `BadInput`; the app then ends with its message and exit status 2.
    """

    def __init__(self, open_workshop: Callable[[], Workshop], shelf: Shelf) -> None:
        super().__init__()
        self._open_workshop = open_workshop
        self.shelf = shelf
        self.workshop: Workshop | None = None
        self.bench: Bench | None = None
        self.bike = Bike("")
        self.case_id = 0

    @property
    def rules(self) -> RuleBase:
        """The rule base. It is there by the time any key is handled."""
        assert self.workshop is not None
        return self.workshop.rules

    def load(self) -> None:
        """Load the rule base; keys wait until it is there."""
        self.hold_keys()
        self._load()

    def on_bench(self, case: Case, bike: str, case_id: int) -> None:
        """Put a case on the bench."""
        assert self.workshop is not None
        self.bench = Bench(self.workshop, case, bike)
        self.case_id = case_id

    def record(self, *events: Event) -> None:
        """Something was said or done."""
        assert self.bench is not None
        self.bench.add(*events)
        self.reassess()

    def reassess(self) -> None:
        """Work out what is made of the case as it now is; keys wait until it is shown."""
        bench = self.bench
        assert bench is not None
        self.hold_keys()
        self._assess(bench, bench.case, KeptCase(self.case_id, bench.bike, bench.case))

    def has_complaint(self) -> bool:
        """Whether the case on the bench has begun."""
        return self.bench is not None and bool(standing(self.bench.case).complaints)

    def foresee(self, show: Callable[[Foreseen], None]) -> None:
        """Hand `show` what every open answer would do, once it is worked out."""
        if self.bench is not None and self.bench.current is not None:
            self._foresee(self.bench, self.bench.current, show)

    # -- workers ---------------------------------------------------------------------------------

    @work(thread=True, group="load", exit_on_error=True)
    def _load(self) -> None:
        try:
            workshop = self._open_workshop()
        except BadInput as error:
            self.call_from_thread(self.exit, None, 2, str(error))
            return
        self.call_from_thread(self._loaded, workshop)

    def _loaded(self, workshop: Workshop) -> None:
        self.workshop = workshop
        self._tell_screens()
        self.release_keys()

    @work(thread=True, group="assess", exit_on_error=True)
    def _assess(self, bench: Bench, case: Case, kept: KeptCase) -> None:
        try:
            assessed = bench.assess(case)
        except BadInput as error:
            self.call_from_thread(self._refused, bench, case, str(error))
            return
        if case.events:
            self.shelf.keep_case(kept)
        self.call_from_thread(self._assessed, bench, assessed)

    def _assessed(self, bench: Bench, assessed: Assessed) -> None:
        if bench is not self.bench or assessed.case is not bench.case:
            return
        bench.current = assessed
        self._tell_screens()
        self._warn()
        self.release_keys()

    def _refused(self, bench: Bench, case: Case, message: str) -> None:
        """The engine can make nothing of it: the case goes back to where it last made sense."""
        if bench is not self.bench or case is not bench.case:
            return
        if bench.current is not None:
            bench.case = bench.current.case
        self.notify(f"{message}. It was not kept.", severity="error", timeout=10, markup=False)
        self._tell_screens()
        self.release_keys()

    def _warn(self) -> None:
        bench = self.bench
        if bench is None or isinstance(self.screen, WarningScreen):
            return
        reasons = bench.unread_warnings()
        if reasons:
            screen = WarningScreen(reasons, self.drop_typed_keys())
            self.push_screen(screen, lambda _: bench.acknowledge())

    @work(thread=True, group="foresee", exit_on_error=True)
    def _foresee(self, bench: Bench, assessed: Assessed, show: Callable[[Foreseen], None]) -> None:
        self.call_from_thread(self._foreseen, assessed, bench.foresee(assessed), show)

    def _foreseen(
        self, assessed: Assessed, foreseen: Foreseen, show: Callable[[Foreseen], None]
    ) -> None:
        screen = cast("Screen[Any]", getattr(show, "__self__", self.screen))
        if self.bench is not None and self.bench.current is assessed and screen.is_attached:
            show(foreseen)

    def _tell_screens(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, CardScreen) and screen.is_mounted:
                screen.show_case()
