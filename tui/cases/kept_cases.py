"""Cases kept and cases in files: find, look, compare, close, open again, save, put on a card."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from diagnose.advice.reasons import NothingFound
from diagnose.cards.blocks import Audience, Card
from diagnose.cards.rendering import card_bytes
from diagnose.case.events import Case, Noted, standing
from diagnose.case.files import case_from_bytes, load_worked_cases
from diagnose.case.writing import case_yaml, no_place_for
from diagnose.diagnosis import Diagnosis
from diagnose.listening.listen import listener_of
from diagnose.listening.story_case import heard_case, is_to_be_heard
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.case_lists import CaseFilter, CaseRow, CaseRows, list_cases
from diagnose.records.cases.closing import Closing, close, reopen, weigh_closing
from diagnose.records.cases.fitting import fitted
from diagnose.words.case_words import closing_text, closing_title, earlier_text
from diagnose.words.cause_words import chances_text, leading_causes
from diagnose.words.event_words import event_text
from tui.cases.card_files import ask_card_file
from tui.cases.case_comparing import LikeCases, compare
from tui.cases.case_list import CasesScreen, CaseState
from tui.cases.closing_choices import HANDED_OVER, chosen_cause, closing_choices
from tui.cases.details_form import details_form
from tui.cases.job_card import JobCardScreen
from tui.dialogs.device_files import open_file, save_file
from tui.dialogs.pick_screen import PickScreen
from tui.dialogs.rows_screen import ListedRow, RowsScreen
from tui.interview.case_at_work import CaseAtWork
from tui.interview.case_desk import CaseDesk
from tui.services.shell import Shell

_CASE_FILE = "case.yaml"


class KeptCases:
    """What can be done with cases besides the interview."""

    def __init__(
        self, shell: Shell, desk: CaseDesk, examples: Path | None, begin: Callable[[], None]
    ) -> None:
        """`examples` is a folder of worked cases; `begin` begins a case on the bike picked."""
        self._shell, self._desk, self._examples = shell, desk, examples
        self._begin = begin

    # -- finding and looking ---------------------------------------------------------------------

    def list(self) -> None:
        """List the cases kept."""
        shop = self._shell.shop
        self._shell.put(CasesScreen(shop.rules, shop.today, self))

    async def find(self, wanted: CaseFilter) -> CaseRows:
        """The cases that fit, at most as many as are wanted. Raises `StoreProblem`."""
        store = self._shell.shop.store
        return await asyncio.to_thread(list_cases, store, wanted)

    async def state_of(self, number: int) -> CaseState:
        """How an open case stands. Raises `BadInput`."""
        shop = self._shell.shop

        def work_out() -> CaseState:
            rules = shop.rules
            case = fitted(rules, shop.book.read(number).case)
            assessment = shop.assessor.assess(case)
            leading = leading_causes(assessment)
            named = [chances_text(rules, [(one.cause, one.probability)]) for one in leading]
            if assessment.step.kind == "close":
                named = ["proven, to be closed"]
            return CaseState(tuple(named), event_text(rules, case.events[-1]))

        return await asyncio.to_thread(work_out)

    def begin(self) -> None:
        """Begin a case on the bike picked."""
        self._begin()

    async def open_ones(self) -> int:
        """How many cases are open. Raises `StoreProblem`."""
        return (await self.find(CaseFilter(state="open", limit=1))).total

    def look_at(self, number: int, *, go_on: bool = False) -> None:
        """Show the card of a case, or go on with it where it stopped."""
        self._shell.start(self._look_at(number, go_on=go_on))

    async def _look_at(self, number: int, *, go_on: bool = False) -> None:
        shop = self._shell.shop
        kept = await self._shell.work(lambda: shop.book.read(number))
        assessor = await self._shell.work(lambda: shop.assessor_for(kept))
        case = self._desk.kept_case(assessor=assessor, kept=kept)
        await self._desk.look_at(case, go_on=go_on and kept.folded.closed is None)

    def card_screen(self, *, looking: bool = False) -> JobCardScreen:
        """The card of the case at work; `looking` offers to go on with the case."""
        return JobCardScreen(self._desk.current, self._desk, self, looking=looking)

    def go_on(self) -> None:
        """Go on with the case whose card is shown, opening it again where it is closed."""
        self._shell.start(self._go_on())

    async def _go_on(self) -> None:
        closed_as = self._desk.current.closed_as
        if closed_as is not None:
            text = ("What it taught is unlearned until it is closed as proven again.",)
            choices = (("1", "open", "Open it again and go on"), ("2", "leave", "Leave it closed"))
            screen = PickScreen(f"The case is closed as {closed_as}", choices, text)
            if await self._shell.ask(screen) != "open":
                return
            book = self._shell.shop.book
            if await self._desk.rewrite(lambda kept: reopen(book, kept)) is None:
                return
            await self._shell.work(self._shell.shop.learn)
        self._shell.swap(self._desk.interview())

    # -- comparing -------------------------------------------------------------------------------

    def compare(self) -> None:
        """List earlier cases of the same bike, and cases of others with the same complaint."""
        self._shell.start(self._compare())

    async def _compare(self) -> None:
        shop = self._shell.shop
        kept = self._desk.current.on_paper(shop.now)
        found = await self._shell.work(lambda: compare(shop.store, kept))
        rows = (*found.earlier, *found.similar)
        if not rows:
            self._shell.say("No other case of this bike or with this complaint is kept.")
            return
        listed = [self._listed(row, row in found.earlier) for row in rows]
        index = await self._shell.ask(RowsScreen(self._compared(found), listed))
        if index is not None:
            await self._look_at(rows[index].id)

    def _compared(self, found: LikeCases) -> str:
        causes = self._shell.shop.rules.causes
        proven = [f"{causes[c].title} {n}x" for c, n in found.proven[:5] if c in causes]
        title = "Cases like this one; Enter looks at one. Proven behind this complaint: "
        return title + (", ".join(proven) or "nothing yet")

    def _listed(self, row: CaseRow, same_bike: bool) -> ListedRow:
        about = earlier_text(self._shell.shop.rules, row, self._shell.shop.today)
        whose = "this bike" if same_bike else (row.bike or "a bike that is not kept")
        return ListedRow(row.title, f"{whose}, {about}")

    # -- closing ---------------------------------------------------------------------------------

    def close(self) -> None:
        """Close the case as its rides say, once the person has seen as what."""
        case = self._desk.current
        if case.kept is None or case.closed_as is not None:
            self._shell.back_to_start()
        elif case.diagnosis.waiting:
            self._shell.say("It can be closed once everything said is kept.", "warning")
        else:
            step = case.current.assessment.step if case.current else None
            goes_on = step is not None and step.kind == "hand-over"
            is_well = step is not None and isinstance(step.why, NothingFound)
            self._shell.start(self._close(case, goes_on and not is_well))

    async def _close(self, case: CaseAtWork, handed_over: bool) -> None:
        kept, rules = case.kept, case.rules
        assert kept is not None
        closing = await self._weigh(case, kept, handed_over)
        choices = list(closing_choices(rules, closing))
        text = list(closing_text(rules, closing))
        screen = PickScreen(closing_title(kept, closing), choices, text)
        value = await self._shell.ask(screen)
        if value == HANDED_OVER:
            await self._close(case, handed_over=True)
        elif value is not None:
            cause = chosen_cause(value) or closing.cause
            await self._closed(case, replace(closing, cause=cause))

    async def _weigh(self, case: CaseAtWork, kept: KeptCase, handed_over: bool) -> Closing:
        shop = self._shell.shop

        def weigh() -> Closing:
            bike = shop.bike_of(kept)
            return weigh_closing(case.rules, kept, bike=bike, handed_over=handed_over)

        return await self._shell.work(weigh)

    async def _closed(self, case: CaseAtWork, closing: Closing) -> None:
        shop, assessor = self._shell.shop, case.diagnosis.assessor
        book = shop.book
        kept = await self._desk.rewrite(lambda kept: close(book, assessor, kept, closing))
        if kept is None:
            return
        self._shell.say(f"Case {kept.id} is closed: {closing.verdict.outcome}.")
        await self._shell.work(shop.learn)
        self._desk.show_card()

    # -- files -----------------------------------------------------------------------------------

    def open_file(self) -> None:
        """Ask for a case file and open it; it is kept from the first answer that is added on."""
        self._shell.start(self._open_file())

    async def _open_file(self) -> None:
        rules, hint = self._shell.shop.rules, "A path such as case.yaml."

        def read(raw: bytes, label: str) -> Case:
            case = case_from_bytes(rules, raw, label)
            return heard_case(listener_of(rules), case)[0] if is_to_be_heard(case) else case

        case = await open_file(self._shell, "Which case file?", hint, _CASE_FILE, read)
        if case is not None:
            await self._desk.look_at(self._desk.kept_case(case))

    def look_at_examples(self) -> None:
        """List the worked example cases of the rule base; they are invented and never kept."""
        if self._examples is None or not self._examples.is_dir():
            self._shell.say("This rule base has no example cases.")
        else:
            self._shell.start(self._look_at_examples(self._examples))

    async def _look_at_examples(self, folder: Path) -> None:
        shop = self._shell.shop
        found = await self._shell.work(lambda: load_worked_cases(shop.rules, folder))
        rows = [ListedRow(item.title, item.teaches) for item in found]
        title = "Example cases, all invented and not kept. Enter looks at one."
        index = await self._shell.ask(RowsScreen(title, rows))
        if index is not None:
            diagnosis = Diagnosis(shop.assessor, found[index].case)
            about = f"Example: {found[index].title}"
            await self._desk.look_at(CaseAtWork(diagnosis, bike=about))

    def save(self) -> None:
        """Save the case as a case file."""
        case = self._desk.current
        if not self._desk.has_complaint:
            self._shell.say("A case without a complaint is not worth a file.")
            return
        text, left_out = case_yaml(case.case)
        title, hint = "Save the case as", no_place_for(left_out)
        self._shell.start(self._ask_file(title, text, hint))

    async def _ask_file(self, title: str, text: str, hint: str) -> None:
        await save_file(self._shell, title, _CASE_FILE, lambda name: text.encode(), hint=hint)

    # -- the card --------------------------------------------------------------------------------

    def audiences(self) -> tuple[Audience, ...]:
        """Whom there is a card for: a rider's case can be taken along to a workshop."""
        case = self._desk.current
        if case.rules.policy.goes_along(standing(case.case).person):
            return ("take-along", "customer", "workshop")
        return ("workshop", "customer")

    async def make_card(self, audience: Audience | None) -> Card:
        """The card of the case at work. Raises `StoreProblem`."""
        case, shop = self._desk.current, self._shell.shop
        assert case.current is not None
        assessment = case.current.assessment

        def make() -> Card:
            # not needed before the first card, and slow to import
            from diagnose.cards.card_facts import CardFacts  # noqa: PLC0415
            from diagnose.cards.content import card_for  # noqa: PLC0415

            kept = case.on_paper(shop.now)
            facts = CardFacts(case.rules, kept, assessment, shop.bike_of(kept), shop.today)
            return card_for(audience, facts, case.diagnosis.assessor)

        return await asyncio.to_thread(make)

    def fill_in(self) -> None:
        """Ask whose bike it is, who worked, with what and how long, and put it on the card."""
        self._shell.start(self._fill_in())

    async def _fill_in(self) -> None:
        case, shop = self._desk.current, self._shell.shop
        if case.kept is None:
            self._shell.say("It can be filled in once the case is kept, with its first answer.")
            return
        before, is_open = case.kept.folded.details, case.closed_as is None
        form = details_form(before, notes_price=shop.notes_price, is_open=is_open)
        filled = await self._shell.ask(form)
        if filled is None:
            return
        if filled.notes_price != shop.notes_price:
            await self._shell.work(lambda: shop.note_price(filled.notes_price))
        book = shop.book
        kept = await self._desk.rewrite(lambda kept: book.fill_in(kept, filled.details))
        if kept is not None and filled.note:
            self._desk.record(Noted(filled.note))
        self._shell.refresh_top()

    def copy_card(self, card: Card) -> None:
        """Copy a card to the clipboard of the terminal, as Markdown."""
        self._shell.copy(card_bytes(card, "markdown", self._shell.shop.now).decode("utf-8"))
        self._shell.say("Copied. If the terminal does not take it, write it with o.")

    def write_card(self, card: Card) -> None:
        """Ask for a file and write a card to it."""
        kept = self._desk.current.kept
        number = f"-{kept.id}" if kept is not None else ""
        is_list = card.audience == "take-along"
        stem, what = ("list", "list") if is_list else ("job-card", "job card")
        title = f"Write the {what} to"
        self._shell.start(ask_card_file(self._shell, title, f"{stem}{number}", lambda: card))
