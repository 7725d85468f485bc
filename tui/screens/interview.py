"""The bench card: the step large and plain, its answers on single keys, the causes beside it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Footer, Input, Static

from diagnose.case import read_answer
from diagnose.wording import StepText, step_text
from rules.problems import BadInput
from rules.quantities import units_like
from tui.offers import offers
from tui.screens.base import CardScreen
from tui.telling import leading_line, moved_line, step_label
from tui.widgets.answer_pad import AnswerPad
from tui.widgets.case_head import CaseHead
from tui.widgets.cause_bars import CauseBars
from tui.widgets.key_button import KeyButton
from tui.widgets.step_card import StepCard
from tui.widgets.word_box import ReadingBox

_TOOLTIP = "Answer this step"
_READING_LINES = 4
_ANSWER_KEYS = {key: key for key in "123456789yndxk"} | {"question_mark": "?"}


class InterviewScreen(CardScreen[None]):
    """One step at a time, until the case is closed or handed over."""

    CSS_PATH = "interview.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(
                key, f"answer({sign!r})", "Answer", show=False, key_display=sign, tooltip=_TOOLTIP
            )
            for key, sign in _ANSWER_KEYS.items()
        ),
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
                yield ReadingBox(id="reading")
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
        self.query_one(CaseHead).show(bench.rules, bench)
        assessed = bench.current
        if assessed is None or assessed.case is not bench.case:
            return
        rules, step = bench.rules, assessed.assessment.step
        words = step_text(rules, assessed.case, step)
        self.query_one(StepCard).show(step_label(rules, step), words)
        self.query_one(AnswerPad).show(offers(rules, assessed.case, step))
        self._ask_reading(step.target if step.kind == "measure" else "", words)
        self._fit_pad()
        self.query_one(CauseBars).show(rules, assessed)
        self.query_one("#moved", Static).update(moved_line(rules, assessed, most=1))
        self.query_one("#so-far", Static).update(leading_line(rules, assessed.assessment))
        self.call_after_refresh(self._show_whether_more)

    def _ask_reading(self, observation: str, words: StepText) -> None:
        box = self.query_one(ReadingBox)
        box.value = ""
        box.display = bool(observation)
        self.query_one("#problem", Static).update("")
        self.query_one("#problem").display = False
        if observation:
            unit = self.bench.rules.observations[observation].unit or ""
            others = ", ".join(units_like(unit)[1:])
            box.placeholder = f"figure in {unit or 'a plain number'}" + (
                f", or with its unit: {others}" if others else ""
            )
            box.focus()
        else:
            self.set_focus(None)

    def _fit_pad(self) -> None:
        """Tall buttons wherever the text of the step leaves room for them."""
        taken = self.query_one(StepCard).lines_needed()
        taken += _READING_LINES if self.query_one(ReadingBox).display else 0
        room = self.query_one("#work").size.height - taken - 1
        self.query_one(AnswerPad).grow(room, self.card_app.large)

    def _show_whether_more(self) -> None:
        card = self.query_one(StepCard)
        below = card.max_scroll_y - card.scroll_offset.y
        line = self.query_one("#more", Static)
        line.update(f"{below} more lines: press Down" if below > 0 else "")
        line.display = below > 0

    # -- answers ---------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only keys that answer this step."""
        if action == "answer":
            return self.query_one(AnswerPad).find(str(parameters[0])) is not None
        return True

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Every answer to this step."""
        for offer in self.query_one(AnswerPad).offers:
            yield f"Answer: {offer.label}", f"answer({offer.key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """An answer was touched. While the last one is worked out it would meet the wrong step."""
        if not self.card_app.is_holding:
            self.action_answer(message.key)

    def action_answer(self, key: str) -> None:
        """Record what the key stands for, or open it."""
        offer = self.query_one(AnswerPad).find(key)
        if offer is None:
            return
        if offer.event is not None:
            self.card_app.record(offer.event)
        elif offer.opens == "complaint":
            self.card_app.action_add_complaint()
        elif offer.opens == "card":
            self.card_app.action_job_card()
        elif offer.opens == "answer-again":
            self.card_app.answer_again(offer.about)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Record a reading, or say what is wrong with it."""
        assessed = self.bench.current
        if assessed is None or self.card_app.is_holding or not message.value.strip():
            return
        target = assessed.assessment.step.target
        try:
            answer = read_answer(self.bench.rules, target, message.value)
        except BadInput as error:
            problem = self.query_one("#problem", Static)
            problem.update(str(error))
            problem.display = True
            return
        self.card_app.record(answer)

    def action_scroll(self, by: int) -> None:
        """Move the text of the step."""
        card = self.query_one(StepCard)
        card.scroll_relative(y=by * max(1, card.size.height - 2), animate=False)

    def action_leave(self) -> None:
        """Leave the case; it stays on the shelf."""
        self.card_app.leave_case()
