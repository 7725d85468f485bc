"""The corrections in the order worth trying, and the card of the one marked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.advice.planning import Step
from diagnose.case.events import Corrected, Declined
from diagnose.diagnosis import Assessed
from diagnose.words.chances import percent
from diagnose.words.step_words import (
    StepText,
    first_found_text,
    no_correction_text,
    step_label,
    step_text,
)
from tui.dialogs.base import LARGE
from tui.interview.answer_pad import AnswerPad
from tui.interview.case_at_work import CaseActs, CaseAtWork
from tui.interview.drawing_screen import show_drawing
from tui.interview.side import SideScreen
from tui.interview.step_card import StepCard
from tui.plain.cautions_once import as_before
from tui.plain.offers import Offer
from tui.widgets.key_button import KeyButton
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList

_WORTH_SHOWING = 0.005
_MOST = 9


class PlanScreen(SideScreen):
    """Any of them can be done or refused; the ride after it counts as evidence."""

    CSS_PATH = "plan_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#corrections"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"mark({n - 1})", "Look at", show=False) for n in range(1, 10)),
        keyed("f", "done", "This correction was carried out", id="plan.done"),
        keyed("x", "decline", "Won't or can't do it here", id="plan.decline"),
        keyed("v", "cautions", "Cautions read before, in full", show=False, id="cautions"),
        keyed("d", "draw", "The drawing of it", show=False, id="plan.draw"),
        keyed("u", "undo", "Take the last answer back", id="undo"),
        keyed("j", "jot", "Add a note to the case", id="jot"),
        keyed("p", "leave", "Back", show=False),
        Binding("pagedown", "page(1)", "More", tooltip="Text below", id="plan.more"),
        Binding("pageup", "page(-1)", "Less", show=False, id="plan.less"),
    ]

    def __init__(self, case: CaseAtWork, acts: CaseActs) -> None:
        super().__init__(case, acts)
        self._corrections: list[str] = []
        self._raised: tuple[str, ...] = ()
        self._words: StepText | None = None
        self._comes_first = False
        """Whether cautions are to be read, or readings to be taken, before the work is shown."""

    def body(self) -> ComposeResult:
        """The list; the card and the answers of the correction marked."""
        yield Static("", id="hint", markup=False)
        with Container(id="body"):
            yield RowList(id="corrections")
            with Vertical(id="work"):
                yield StepCard()
                yield AnswerPad(id="pad")

    def show_assessed(self, current: Assessed) -> None:
        """Show the corrections as they now stand."""
        plan, step = current.assessment.plan, current.assessment.step
        self._raised = current.assessment.cautions
        chances = dict(zip(plan.corrections, plan.chances, strict=True))
        checks = dict(zip(plan.corrections, plan.checks, strict=True))
        names = [name for name in plan.corrections if chances[name] >= _WORTH_SHOWING][:_MOST]
        if step.kind == "correct" and step.target not in names:
            names = [step.target, *names][:_MOST]
        self._corrections = names
        options = self.query_one(RowList)
        options.show_rows(
            [
                self._row(n, name, chances.get(name), checks.get(name))
                for n, name in enumerate(names, 1)
            ]
        )
        self.query_one("#hint", Static).update(
            "In the order worth trying, with how likely each is needed; "
            f"about {plan.expected_minutes:.0f} min in all. One change, then ride."
            if names
            else no_correction_text(current.assessment)
        )
        if names:
            options.highlighted = 0
        self.query_one("#body").display = bool(names)
        self.refresh_bindings()

    def _row(self, number: int, name: str, chance: float | None, check: float | None) -> Content:
        """How likely it is needed, what it is, and its minutes."""
        entry = self.case.rules.corrections[name]
        needed = "" if chance is None else f"{percent(chance):>5}  "
        look = "" if check is None else f"look {check:g}, "
        about = f": {look}work {entry.minutes:g} min"
        return Content.assemble(f"{number}  {needed}", (entry.title, "bold"), about)

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Show the card of the correction marked."""
        rules = self.case.rules
        name = self._corrections[message.option_index]
        step = self._step(name)
        self._words = step_text(rules, self.case.case, step, self._raised)
        words, before = self.case.cautions.fold(name, self._words)
        work = self.query_one("#work").size
        card = self.query_one(StepCard)
        needed = card.lines_of(words, work.width - 3) + 1
        has_unread = bool(words.cautions) and needed > work.height
        to_find = self.case.to_find(name)
        self._comes_first = has_unread or bool(to_find)
        if has_unread:
            # they are read with the work as the step; here the work is what one looks for
            words, before = replace(self._words, cautions=()), as_before(len(self._words.cautions))
        if to_find:
            before = f"{first_found_text(rules, to_find)} {before}".strip()
        card.show(step_label(rules, step), words, before)
        pad = self.query_one(AnswerPad)
        pad.show((Offer("f", "Done", Corrected(name)), Offer("x", "Can't here", Declined(name))))
        height = self.query_one("#work").size.height - 1
        is_large = self.app.has_class(LARGE)
        pad.grow(height - card.lines_needed(), height - card.least_lines() if is_large else 0)

    def _step(self, name: str) -> Step:
        """A correction as a step to take now."""
        return Step("correct", name, None, self.case.rules.corrections[name].minutes)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What is done with a correction works where there is one."""
        return action not in ("done", "decline", "page") or bool(self._corrections)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any correction."""
        for number, name in enumerate(self._corrections):
            yield f"Look at: {self.case.rules.corrections[name].title}", f"mark({number})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """Done or not was touched."""
        self._record(message.key)

    def action_mark(self, number: int) -> None:
        """Mark the correction at a position."""
        if number < len(self._corrections):
            self.query_one(RowList).highlighted = number

    def action_done(self) -> None:
        """Record that the correction marked was carried out."""
        self._record("f")

    def action_decline(self) -> None:
        """Record that the correction marked will not be carried out here."""
        self._record("x")

    def _record(self, key: str) -> None:
        offer = self.query_one(AnswerPad).find(key)
        if offer is None or offer.event is None or self.case.assessed is None:
            return
        if key == "f" and self._comes_first and isinstance(offer.event, Corrected):
            self.dismiss(None)
            self.acts.turn_to(self._step(offer.event.correction))
            return
        if key == "f" and self.query_one(StepCard).show_unseen():
            self.query_one("#hint", Static).update("Read on first; then f again.")
            return
        if self._words is not None and isinstance(offer.event, Corrected):
            self.case.cautions.read(offer.event.correction, self._words)
        self.acts.record(offer.event)
        self.dismiss(None)

    def action_cautions(self) -> None:
        """Show all cautions of the correction marked whole."""
        marked = self.query_one(RowList).highlighted
        if marked is not None and self._words is not None:
            step = self._step(self._corrections[marked])
            self.query_one(StepCard).show(step_label(self.case.rules, step), self._words)

    def action_draw(self) -> None:
        """Show the drawing of the correction marked."""
        show_drawing(self, self.case.rules)

    def action_page(self, by: int) -> None:
        """Scroll the card by pages."""
        self.query_one(StepCard).page(by)
