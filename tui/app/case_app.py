"""The case on the bench and the work on it, which runs in workers while keys wait."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from textual import work

from diagnose.advice.foresight import Outcome
from diagnose.case.events import Case, Event, standing
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.recording import RecordedInterview
from diagnose.records.store.problems import StoreProblem
from rules.problems import BadInput
from tui.app.bench import Assessed, Bench
from tui.app.keeper import Keeper, MovedOn
from tui.app.store_app import StoreApp
from tui.cases.job_card import JobCardScreen
from tui.dialogs.base import CardScreen
from tui.interview.warning import WarningScreen

Foreseen = dict[str, tuple[Outcome, ...]]


class CaseApp(StoreApp):
    """Assesses the case after every change, keeps it, and then tells the screens."""

    bench: Bench | None = None
    bike = Bike("")
    """The bike that a case would be begun on; without a name it is none that is kept."""

    @property
    def book(self) -> CaseBook:
        """The cases kept."""
        return CaseBook(self.kept, self.rules)

    def use_bike(self, bike: Bike) -> None:
        """Begin cases on this bike from here on."""
        self.bike = bike
        self.show_news()

    def follow_rename(self, old: str, new: str) -> None:
        """A bike is called otherwise: the next case and the one on the bench go on being its."""
        if self.bike.name == old:
            self.bike = replace(self.bike, name=new)
        bench = self.bench
        if bench is not None:
            self.in_background(lambda: bench.follow_rename(old, new), lambda _: None)

    def keeper(self, case: Case | None = None, **about: Any) -> Keeper:
        """Keeps a case in the store; `about` is for `RecordedInterview`."""
        assert self.workshop is not None
        learned = self.taught_by > 0
        return Keeper(RecordedInterview(self.workshop, self.book, case, learned=learned, **about))

    def on_bench(self, case: Case, bike: str, keeper: Keeper | None) -> None:
        """Put a case on the bench; without a keeper it is only looked at."""
        assert self.workshop is not None
        self.bench = Bench(self.workshop, case, bike, keeper)

    def record(self, *events: Event) -> None:
        """Something was said or done."""
        bench = self.bench
        assert bench is not None
        if bench.closed_as is not None:
            self.notify(f"This case is closed ({bench.closed_as}); g on its card opens it again.")
            return
        bench.add(*events)
        self.reassess()

    def reassess(self) -> None:
        """Work out what is made of the case as it now is, and keep it; keys wait meanwhile."""
        assert self.bench is not None
        self.hold_keys()
        self._assess(self.bench, self.bench.case)

    def has_complaint(self) -> bool:
        """Whether the case on the bench has begun."""
        return self.bench is not None and bool(standing(self.bench.case).complaints)

    def show_card(self) -> None:
        """Show the card of the case on the bench, with nothing but the start behind it."""
        self.back_to_start()
        self.push_screen(JobCardScreen(looking=True))

    def back_to_start(self) -> None:
        """Leave every screen but the first; a case that is kept stays kept."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.show_news()

    def foresee(self, show: Callable[[Foreseen], None]) -> None:
        """Hand `show` what every open answer would do, once it is worked out."""
        if self.bench is not None and self.bench.current is not None:
            self._foresee(self.bench, self.bench.current, show)

    def show_news(self) -> None:
        """Show what has changed on every screen."""
        for screen in self.screen_stack:
            if isinstance(screen, CardScreen) and screen.is_mounted:
                screen.show_case()

    # -- workers ---------------------------------------------------------------------------------

    @work(thread=True, group="assess", exit_on_error=True)
    def _assess(self, bench: Bench, case: Case) -> None:
        problem = ""
        try:
            assessed = bench.assess(case)
            bench.keep(case)
        except MovedOn as news:
            self.call_from_thread(self.moved_on, bench, news)
            return
        except StoreProblem as error:
            problem = str(error)
        except BadInput as error:
            self.call_from_thread(self._refused, bench, case, str(error))
            return
        self.call_from_thread(self._assessed, bench, assessed, problem)

    def _assessed(self, bench: Bench, assessed: Assessed, problem: str) -> None:
        if bench is self.bench and assessed.case is bench.case:
            bench.current = assessed
            self.kept_or_not(bench, problem)
            self.show_news()
            self._warn()
        self.release_keys()

    def moved_on(self, bench: Bench, news: MovedOn) -> None:
        """Another terminal was first with the case."""
        raise NotImplementedError

    def kept_or_not(self, bench: Bench, problem: str) -> None:
        """The latest change is in the store, or is not because of `problem`."""
        raise NotImplementedError

    def _refused(self, bench: Bench, case: Case, message: str) -> None:
        """The engine can make nothing of it: the case goes back to where it last made sense."""
        if bench is self.bench and case is bench.case:
            if bench.current is not None:
                bench.case = bench.current.case
            self.notify(f"{message}. It was not kept.", severity="error", timeout=10, markup=False)
            self.show_news()
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
        bench = self.bench
        if bench is not None and bench.current is assessed and self.is_awaited(show):
            show(foreseen)
