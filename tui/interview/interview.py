"""The bench card: the step large and plain, its answers on single keys, the causes beside it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Footer, Static

from diagnose.case.events import Answered
from diagnose.words.answers import unit_of_bare
from diagnose.words.causes import leading_line, moved_line
from diagnose.words.steps import step_label, step_text
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.interview.answer_pad import AnswerPad
from tui.interview.answering import Answering
from tui.interview.case_head import CaseHead
from tui.interview.cause_bars import CauseBars
from tui.interview.reading_field import ReadingField
from tui.interview.step_card import StepCard
from tui.plain.offers import Offer, offers

_READING_LINES = 4


class InterviewScreen(Answering[None], CardScreen[None]):
    """One step at a time, until the case is closed or handed over."""

    CSS_PATH = "interview.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("u", "app.undo", "Undo", tooltip="Take the last answer back", id="undo"),
        Binding("w", "app.why", "Why", tooltip="Why this step", id="why"),
        Binding("c", "app.causes", "Causes", tooltip="Ranked causes and reasons", id="causes"),
        Binding("p", "app.plan", "Plan", tooltip="Corrections in order", id="plan"),
        Binding("e", "app.earlier", "Earlier", tooltip="Change an earlier answer", id="earlier"),
        Binding("j", "app.jot", "Jot", tooltip="Add a note to the case", id="jot"),
        Binding(
            "a",
            "app.add_complaint",
            "Add",
            tooltip="Another complaint",
            id="complaint.add",
            show=False,
        ),
        Binding(
            "escape", "leave", "Back", tooltip="Leave the case; it is kept", id="leave", show=False
        ),
        Binding(
            "t", "app.harsh", "Tyre?", tooltip="Tyre or damping, worked out", id="harsh", show=False
        ),
        Binding("b", "app.set_bike", "Bike", tooltip="Set the bike", id="bike.set", show=False),
        Binding("s", "app.job_card", "Sum up", tooltip="Job card: copy, save, close", id="card"),
        Binding("down,pagedown", "scroll(1)", "More text", show=False, id="more"),
        Binding("up,pageup", "scroll(-1)", "Text above", show=False, id="less"),
    ]

    def compose(self) -> ComposeResult:
        """Head; step and answers; causes beside them where there is room."""
        yield CaseHead()
        with Horizontal(id="body"):
            with Vertical(id="work"):
                yield StepCard()
                yield Static("", id="more", markup=False)
                yield ReadingField(id="reading")
                yield Static("", id="problem", markup=False)
                yield AnswerPad(id="pad")
            yield CauseBars(id="side")
        yield Static("", id="moved", markup=False)
        yield Static("", id="so-far", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show what is known already."""
        self.query_one(CauseBars).glyphs = self.card_app.glyphs
        self.query_one("#reading").display = False
        self.watch(self.query_one(StepCard), "scroll_y", self._show_whether_more, init=False)
        self.show_case()

    def on_resize(self) -> None:
        """Other sizes show more or less of the text."""
        self._fit_pad()
        self.call_after_refresh(self._show_whether_more)

    def show_case(self) -> None:
        """Show the step as it now stands."""
        bench = self.bench
        self.query_one(CaseHead).show(bench)
        assessed = bench.current
        if assessed is None or assessed.case is not bench.case:
            return
        rules, step = bench.rules, assessed.assessment.step
        words = step_text(rules, assessed.case, step, assessed.assessment.cautions)
        self.query_one(StepCard).show(step_label(rules, step), words)
        self.query_one(AnswerPad).show(offers(rules, assessed.case, step))
        self._ask_reading(step.target if step.kind == "measure" else "")
        self._fit_pad()
        self.query_one(CauseBars).show(rules, assessed)
        self.query_one("#moved", Static).update(
            moved_line(rules, assessed.case, assessed.assessment, assessed.moved, most=1)
        )
        self.query_one("#so-far", Static).update(leading_line(rules, assessed.assessment))
        self.call_after_refresh(self._show_whether_more)

    def _ask_reading(self, observation: str) -> None:
        box = self.query_one(ReadingField)
        box.display = bool(observation)
        self.say_problem("")
        if observation:
            box.ask(unit_of_bare(self.bench.rules, self.bench.case, observation))
        else:
            self.set_focus(None)

    def _fit_pad(self) -> None:
        """Tall buttons wherever the text of the step leaves room for them."""
        taken = self.query_one(StepCard).lines_needed()
        taken += _READING_LINES if self.query_one(ReadingField).display else 0
        room = self.query_one("#work").size.height - taken - 1
        self.query_one(AnswerPad).grow(room, self.card_app.large)

    def _show_whether_more(self) -> None:
        card = self.query_one(StepCard)
        below = card.max_scroll_y - card.scroll_offset.y
        line = self.query_one("#more", Static)
        line.update(f"{below} more lines: press Down" if below > 0 else "")
        line.display = below > 0

    # -- answers ---------------------------------------------------------------------------------

    def asks(self) -> tuple[RuleBase, str] | None:
        """The step on the card. While the last answer is worked out, another would meet the wrong
        step."""
        assessed = self.bench.current
        if assessed is None or self.card_app.is_holding:
            return None
        return self.bench.rules, assessed.assessment.step.target

    def take(self, offer: Offer) -> None:
        """Record what the key stands for, or open it."""
        app = self.card_app
        if offer.event is not None:
            app.record(offer.event)
        elif offer.opens == "complaint":
            app.action_add_complaint()
        elif offer.opens == "card":
            app.action_job_card()
        elif offer.opens == "close":
            app.action_close_case()
        elif offer.opens == "answer-again":
            app.answer_again(offer.about)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Say what would be a reading."""
        self.say_problem(message.wanted)

    def take_reading(self, answer: Answered) -> None:
        """Record it."""
        self.card_app.record(answer)

    def action_scroll(self, by: int) -> None:
        """Move the text of the step."""
        card = self.query_one(StepCard)
        card.scroll_relative(y=by * max(1, card.size.height - 2), animate=False)

    def action_leave(self) -> None:
        """Leave the case; it stays kept."""
        self.card_app.back_to_start()
