"""The case as a list to work down: rows filled in place, the ranking moving above them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static

from diagnose.advice.sheet import CaseSheet, SheetRow, sheet
from diagnose.case.events import Answered, Corrected, Declined
from diagnose.words.answers import unit_of_bare
from diagnose.words.cause_words import leading_line
from diagnose.words.chances import counted
from diagnose.words.sheet_words import PARTS, next_text, row_card, row_label, row_step, row_text
from diagnose.words.step_words import StepText
from rules.rulebase import RuleBase
from tui.interview.answer_pad import AnswerPad
from tui.interview.answering import Answering
from tui.interview.case_at_work import CaseActs, CaseAtWork
from tui.interview.case_head import CaseHead
from tui.interview.reading_field import ReadingField
from tui.interview.sheet_columns import sheet_lines
from tui.interview.side import CaseScreen
from tui.interview.step_card import TO_THE_WORK, MoreLine, StepCard
from tui.plain.cautions_once import only_cautions, read_first
from tui.plain.offers import Offer
from tui.plain.sheet_rows import is_typed, row_offers
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import put_line

_SCROLL_BAR = 1


class SheetScreen(Answering[None], CaseScreen):
    """The same case as on the screen of the step. The row marked is answered with the same keys;
    one with a caution that was not read yet must be opened first, and so must work."""

    CSS_PATH = "sheet_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("s", "leave", "One step at a time", id="sheet.step", also="tab"),
        Binding("enter", "open", "Open", tooltip="How it is done, with its cautions; change what "
                "was said", id="sheet.open"),
        Binding("escape", "back", "Back", tooltip="Back to the list, then to the step", id="leave",
                show=False),
        keyed("r", "volunteer", "Give a reading or fact", id="fact.give"),
        keyed("u", "undo", "Take the last answer back", id="undo"),
        keyed("w", "show('why')", "Why this step, and these causes", id="why"),
        keyed("p", "show('plan')", "Corrections in order", id="plan"),
        keyed("k", "show('card')", "Job card: copy, save, close", id="card"),
        keyed("j", "jot", "Add a note to the case", id="jot", show=False),
        keyed("v", "cautions", "Cautions read before, in full", id="cautions", show=False),
        Binding("down", "move(1)", "Next row", show=False, id="sheet.down"),
        Binding("up", "move(-1)", "Row above", show=False, id="sheet.up"),
        Binding("pagedown", "page(1)", "More text or rows", show=False, id="sheet.more"),
        Binding("pageup", "page(-1)", "Text or rows above", show=False, id="sheet.less"),
    ]  # fmt: skip

    def __init__(self, case: CaseAtWork, acts: CaseActs) -> None:
        super().__init__(case, acts)
        self._sheet = CaseSheet(())
        self._at = 0
        self._read: set[str] = set()
        self._back_to = ""
        self._is_reading = False

    def compose(self) -> ComposeResult:
        """Head and ranking; the rows; what the row marked says and takes."""
        yield CaseHead()
        yield Static("", id="so-far", markup=False)
        yield Static("", id="next", markup=False)
        yield (rows := RowList(id="rows"))
        rows.can_focus = False
        with Vertical(id="work"):
            yield (card := StepCard())
            yield MoreLine(card)
            yield ReadingField(id="reading", brief=True)
            yield Static("", id="problem", markup=False)
            yield AnswerPad(id="pad")
        yield KeyFooter()

    def on_resize(self) -> None:
        """Columns of another width."""
        self._draw()
        self.query_one(MoreLine).count()

    def show_case(self) -> None:
        """Show the sheet of the case as it now stands, with the mark on a row to go on with."""
        self.query_one(CaseHead).show(self.case)
        assessed = self.case.assessed
        if assessed is None:
            return
        rules, assessment = self.case.rules, assessed.assessment
        before, self._sheet = self._sheet, sheet(self.case.diagnosis.assessor, assessment)
        taken_back = self._sheet.find(self._back_to) if self._back_to else None
        self._back_to = ""
        if taken_back is not None:
            self._at = taken_back
        else:
            self._at = (
                self._sheet.place_after(before, self._at) if before.rows else self._sheet.start
            )
        most = None if self.has_class("-roomy") else 1
        put_line(self.query_one("#so-far", Static), leading_line(rules, assessment, most))
        other = next_text(rules, assessed.case, assessment.step, self._sheet)
        put_line(self.query_one("#next", Static), f"{other} (Tab)" if other else "")
        if self._sheet != before:
            self._close()
        self._draw()

    # -- rows ------------------------------------------------------------------------------------

    @property
    def _row(self) -> SheetRow | None:
        return self._sheet.rows[self._at] if self._sheet.rows else None

    @property
    def _is_open(self) -> bool:
        return self.has_class("-open")

    def _must_be_read(self, row: SheetRow) -> bool:
        """Whether a row must be opened before it is answered."""
        return row.kind != "said" and (row.is_work or not self._read.issuperset(row.cautions))

    def _takes_answers(self, row: SheetRow) -> bool:
        if row.kind == "said" or self._is_reading:
            return False
        return self._is_open or not self._must_be_read(row)

    def _draw(self) -> None:
        """The rows, and what belongs to the one marked."""
        rows = self.query_one(RowList)
        with rows.prevent(OptionList.OptionHighlighted):
            rows.show_rows(self._lines(), "" if self._sheet.rows else "Nothing is left to fill in.")
            rows.highlighted = self._at if self._sheet.rows else None
        self._show_row()

    def _lines(self) -> list[Content]:
        # the list has no size of its own while a card is open
        width = self.size.width - 2 - _SCROLL_BAR
        box = self.query_one(ReadingField)
        typed = (self._at, box.value) if box.display and box.value.strip() else None
        return list(sheet_lines(self.case.rules, self.case.case, self._sheet, width, typed))

    def _show_row(self) -> None:
        """The card of the row marked, and its answers once its cautions were read."""
        row, rules = self._row, self.case.rules
        self.query_one("#work").display = row is not None
        pad, box = self.query_one(AnswerPad), self.query_one(ReadingField)
        if row is None:
            pad.show(())
            return
        takes = self._takes_answers(row)
        words, before = self._words(row)
        label = row_label(rules, row)
        if self._is_reading:
            words, label, before = only_cautions(words), read_first(label, words), ""
        self.query_one(StepCard).show(label, words, before)
        pad.show(row_offers(rules, row) if row.kind != "said" else ())
        pad.display = takes
        box.display = takes and is_typed(rules, row)
        self.say_problem(self._how_to_go_on(row))
        if box.display:
            box.ask(unit_of_bare(rules, self.case.case, row.about))
        else:
            box.value = ""
            self.set_focus(None)
        more = self.query_one(MoreLine)
        more.leads_to = TO_THE_WORK if self._is_reading else ""
        more.key = "Down" if self._is_open else "Enter"
        more.count()
        self.refresh_bindings()

    def _words(self, row: SheetRow) -> tuple[StepText, str]:
        """The card of a row, with cautions read before in one line."""
        words = row_card(self.case.rules, self.case.case, row)
        return self.case.cautions.fold(row.about, words)

    def action_show(self, what: str) -> None:
        """Show a screen beside the sheet; why, of the row that is open."""
        row, assessed = self._row, self.case.assessed
        if what == "why" and self._is_open and row is not None and assessed is not None:
            step = row_step(self.case.rules, row)
            if step.target != assessed.assessment.step.target:
                self.acts.show(what, step)
                return
        super().action_show(what)

    def action_cautions(self) -> None:
        """Show all cautions of the row marked whole."""
        row, rules = self._row, self.case.rules
        if row is not None and self._is_open:
            words = row_card(rules, self.case.case, row)
            self.query_one(StepCard).show(row_label(rules, row), words)

    def _how_to_go_on(self, row: SheetRow) -> str:
        if self._takes_answers(row):
            return ""
        if row.kind == "said":
            return "Enter changes the answer."
        if self._is_reading:
            return "Enter, once they are read, shows how it is done."
        cautions = f"its {counted(len(row.cautions), 'caution')} and " if row.cautions else ""
        return f"Enter shows {cautions}how it is done; then it can be answered."

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """A row was touched or rolled to."""
        self._mark(message.option_index)

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched: open it."""
        self._mark(message.option_index)
        self.action_open()

    def _mark(self, place: int) -> None:
        if place != self._at and 0 <= place < len(self._sheet.rows):
            self._at = place
            self.query_one(ReadingField).value = ""
            self._draw()

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Answer the row marked, or go to another."""
        yield from super().spoken_actions()
        for number, row in enumerate(self._sheet.rows):
            words = row_text(self.case.rules, self.case.case, row)
            yield f"{PARTS[row.kind].capitalize()}: {words.title}", f"mark({number})"

    def action_mark(self, place: int) -> None:
        """Go to the row at a place."""
        self._mark(place)

    def action_move(self, by: int) -> None:
        """Go to the row above or below; in an open card, scroll its text."""
        if self._is_open:
            self.query_one(StepCard).scroll_relative(y=by, animate=False)
        else:
            self._mark(self._at + by)

    def action_page(self, by: int) -> None:
        """Scroll the text of an open card by pages; else go down or up as many rows as show."""
        if self._is_open:
            self.query_one(StepCard).page(by)
        else:
            page = max(1, self.query_one(RowList).size.height - 1)
            self._mark(min(max(self._at + by * page, 0), len(self._sheet.rows) - 1))

    # -- opening ---------------------------------------------------------------------------------

    def action_open(self) -> None:
        """Show all of the row marked, its cautions first; what was said is changed."""
        row = self._row
        if row is None or self.case.assessed is None or (self._is_open and not self._is_reading):
            return
        if self._is_reading:
            if not self.query_one(StepCard).show_unseen():
                self._is_reading = False
                self._count_as_read(row, apart=True)
                self._show_row()
            return
        if row.kind == "said":
            self.acts.change_event(row.event)
            return
        if row.is_work and self.case.to_find(row.about):
            self.acts.before_work(row.about)
            return
        self.add_class("-open")
        words, _ = self._words(row)
        # head, what settles next, answers, what is wrong, footer
        others = len(row_offers(self.case.rules, row)) // 2 + 8
        needed = StepCard.lines_of(words, self.size.width - 3) + others
        self._is_reading = bool(words.cautions) and needed > self.size.height
        if not self._is_reading:
            self._count_as_read(row)
        self._show_row()

    def _count_as_read(self, row: SheetRow, *, apart: bool = False) -> None:
        """The cautions of a row are in view, or were read `apart` from how it is done."""
        words = row_card(self.case.rules, self.case.case, row)
        self._read.update(row.cautions)
        if apart:
            self.case.cautions.read_apart(words)
        else:
            self.case.cautions.read(row.about, words)

    def _close(self) -> None:
        self.remove_class("-open")
        self._is_reading = False

    def action_back(self) -> None:
        """Forget what was typed; else close the card; else go back to the step."""
        box = self.query_one(ReadingField)
        if box.value:
            box.value = ""
        elif self._is_open:
            self._close()
            self._show_row()
        else:
            self.dismiss(None)

    # -- answers ---------------------------------------------------------------------------------

    def asks(self) -> tuple[RuleBase, str] | None:
        """What the row marked asks for; None while the last answer is worked out."""
        row = self._row
        return None if row is None or self.case.assessed is None else (self.case.rules, row.about)

    def action_answer(self, key: str) -> None:
        """Take what is under a key, once the cautions were read."""
        row = self._row
        if row is not None and self._takes_answers(row):
            super().action_answer(key)
        elif row is not None:
            self.say_problem(f"Not yet. {self._how_to_go_on(row)}")

    def take(self, offer: Offer) -> None:
        """Record what the key stands for."""
        if offer.event is not None:
            self.acts.record(offer.event)

    def take_reading(self, answer: Answered) -> None:
        """Record the reading that was typed."""
        self.query_one(ReadingField).value = ""
        self.acts.record(answer)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Enter without a reading opens the row; in an open one, say what would be a reading."""
        if self._is_open:
            self.say_problem(message.wanted)
        else:
            self.action_open()

    def on_input_changed(self, message: Input.Changed) -> None:
        """Show in the row what is typed."""
        row = self._row
        if row is not None and self.query_one(RowList).option_count > self._at:
            self.query_one(RowList).replace_option_prompt_at_index(
                self._at, self._lines()[self._at]
            )

    def action_undo(self) -> None:
        """Take the latest change back, and go to the row that it was about."""
        match self.case.case.events[-1:]:
            case [
                Answered(observation=about)
                | Corrected(correction=about)
                | Declined(correction=about)
            ]:
                self._back_to = about
        super().action_undo()
