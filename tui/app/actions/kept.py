"""What can be done with cases kept: find, look, compare, close, open again."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial

from textual import work

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.case_lists import CaseFilter, CaseRow, CaseRows, list_cases
from diagnose.records.cases.closing import Closing, close, reopen, weigh_closing
from diagnose.records.store.problems import NotFound, StoreProblem
from diagnose.words.cases import closing_text, closing_title, earlier_text
from rules.problems import BadInput
from tui.app.actions.case import CaseActions
from tui.app.bench import Bench
from tui.app.keeper import MovedOn
from tui.cases.case_comparing import Comparison, compare
from tui.cases.case_list import CasesScreen
from tui.cases.closing_choices import HANDED_OVER, chosen_cause, closing_choices
from tui.cases.job_card import JobCardScreen
from tui.dialogs.pick import PickScreen
from tui.dialogs.rows import ListedRow, RowsScreen
from tui.interview.interview import InterviewScreen
from tui.terminal.clock import day_of


class KeptActions(CaseActions):
    """Everything that touches the store happens in workers."""

    # -- finding and looking ---------------------------------------------------------------------

    def action_look_cases(self) -> None:
        """List the cases kept."""
        self.push_screen(CasesScreen(self.rules, day_of(self.kept.now())))

    def find_cases(self, wanted: CaseFilter, show: Callable[[CaseRows], None]) -> None:
        """Hand `show` the cases that fit."""
        self.in_background(lambda: list_cases(self.kept, wanted), show)

    def count_open(self, show: Callable[[int], None]) -> None:
        """Hand `show` how many cases are open, once the store is there; keys need not wait."""
        if self.store is not None:
            self._count_open(show)

    @work(thread=True, group="count", exclusive=True, exit_on_error=True)
    def _count_open(self, show: Callable[[int], None]) -> None:
        with suppress(StoreProblem):
            count = list_cases(self.kept, CaseFilter(state="open", limit=1)).total
            self.call_from_thread(show, count)

    def look_at_kept(self, number: int, *, go_on: bool = False) -> None:
        """Put a case on the bench and show its card, or go on with it where it stopped."""
        self.in_background(lambda: self.book.read(number), partial(self._read, go_on=go_on))

    def _read(self, kept: KeptCase, *, go_on: bool) -> None:
        keeper = self.keeper(kept=kept)
        self.on_bench(keeper.stored, kept.bike or "", keeper)
        if go_on and kept.folded.closed is None:
            self.push_screen(InterviewScreen())
        else:
            self.push_screen(JobCardScreen(looking=True))
        self.reassess()

    def go_on_from_card(self) -> None:
        """Go on with the case whose card is shown, opening it again where it is closed."""
        bench = self.bench
        assert bench is not None
        if bench.closed_as is None:
            self.switch_screen(InterviewScreen())
            return
        text = ("What it taught is unlearned until it is closed as proven again.",)
        choices = (("1", "open", "Open it again and go on"), ("2", "leave", "Leave it closed"))
        screen = PickScreen(f"The case is closed as {bench.closed_as}", choices, text)
        self.push_screen(screen, lambda choice: self._reopen(bench) if choice == "open" else None)

    def _reopen(self, bench: Bench) -> None:
        def reopened(_: KeptCase) -> None:
            self.learn_anew(lambda: self.switch_screen(InterviewScreen()))

        self.hold_keys()
        self._rewrite(bench, lambda kept: reopen(self.book, kept), reopened)

    # -- comparing -------------------------------------------------------------------------------

    def action_compare_case(self) -> None:
        """Earlier cases of the same bike, and cases of others with the same complaint."""
        assert self.bench is not None
        kept = self.bench.on_paper(self.kept.now())
        self.in_background(lambda: compare(self.kept, kept), self._show_like)

    def _show_like(self, found: Comparison) -> None:
        rows = (*found.earlier, *found.similar)
        if not rows:
            self.notify("No other case of this bike or with this complaint is kept.")
            return
        causes = self.rules.causes
        proven = [f"{causes[c].title} {n}x" for c, n in found.proven[:5] if c in causes]
        title = "Cases like this one; Enter looks at one. Proven behind this complaint: "

        def picked(index: int | None) -> None:
            if index is not None:
                self.look_at_kept(rows[index].id)

        listed = [self._listed(row, row in found.earlier) for row in rows]
        self.push_screen(RowsScreen(title + (", ".join(proven) or "nothing yet"), listed), picked)

    def _listed(self, row: CaseRow, same_bike: bool) -> ListedRow:
        about = earlier_text(self.rules, row, day_of(self.kept.now()))
        whose = "this bike" if same_bike else (row.bike or "a bike that is not kept")
        return ListedRow(row.title, f"{whose}, {about}")

    # -- closing ---------------------------------------------------------------------------------

    def action_close_case(self) -> None:
        """Close the case as its rides say, once the person has seen as what."""
        bench = self.bench
        assert bench is not None
        if bench.kept is None or bench.closed_as is not None:
            self.back_to_start()
        elif bench.waiting:
            self.notify("It can be closed once everything said is kept.", severity="warning")
        else:
            step = bench.current.assessment.step.kind if bench.current else ""
            self._weigh(bench, step == "hand-over")

    def _weigh(self, bench: Bench, handed_over: bool) -> None:
        def weigh() -> Closing:
            kept = bench.kept
            assert kept is not None
            bike = self.bike_of(kept)
            return weigh_closing(bench.rules, kept, bike=bike, handed_over=handed_over)

        self.in_background(weigh, partial(self._ask_closing, bench))

    def bike_of(self, kept: KeptCase) -> Bike | None:
        """The bike of a case; None for one that is not kept, or not by that name any more."""
        if not kept.id or kept.bike is None:
            return None
        try:
            return BikeBook(self.kept).read(kept.bike)
        except NotFound:
            return None

    def _ask_closing(self, bench: Bench, closing: Closing) -> None:
        kept = bench.kept
        assert kept is not None

        def chosen(value: str | None) -> None:
            if value == HANDED_OVER:
                self._weigh(bench, handed_over=True)
            elif value is not None:
                cause = chosen_cause(value) or closing.cause
                self._close(bench, replace(closing, cause=cause))

        rules = bench.rules
        choices = list(closing_choices(rules, closing))
        text = list(closing_text(rules, closing))
        self.push_screen(PickScreen(closing_title(kept, closing), choices, text), chosen)

    def _close(self, bench: Bench, closing: Closing) -> None:
        def closed(kept: KeptCase) -> None:
            self.notify(f"Case {kept.id} is closed: {closing.verdict.outcome}.")
            self.learn_anew(self.show_card)

        self.hold_keys()
        book, workshop = self.book, bench.workshop
        self._rewrite(bench, lambda kept: close(book, workshop, kept, closing), closed)

    @work(thread=True, group="rewrite", exit_on_error=True)
    def _rewrite(
        self,
        bench: Bench,
        change: Callable[[KeptCase], KeptCase],
        then: Callable[[KeptCase], None],
    ) -> None:
        try:
            kept = bench.rewrite(change)
        except MovedOn as news:
            self.call_from_thread(self.moved_on, bench, news)
        except BadInput as error:
            self.call_from_thread(self._failed, str(error))
        else:
            self.call_from_thread(self._worked_off, then, kept)
