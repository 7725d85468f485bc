"""Why this step: what it would tell apart, what it costs, what else could be looked at."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.advice.planning import Step
from diagnose.diagnosis import Assessed
from diagnose.words.cause_words import told_lines
from diagnose.words.step_words import step_reasons, step_text
from tui.interview.case_at_work import CaseActs, CaseAtWork, Foreseen, Told
from tui.interview.side import SideScreen
from tui.widgets.hanging_text import HangingText
from tui.widgets.keyed import keyed


class WhyScreen(SideScreen):
    """Reasons for the step on the card."""

    CSS_PATH = "why_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#reasons"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("w", "leave", "Back", show=False),
        Binding("tab", "show('causes')", "The causes", tooltip="Ranked causes and reasons",
                id="why.causes"),
        Binding("enter", "unfold", "All of it", tooltip="Every answer, what else, sources",
                id="why.all"),
        Binding("equals_sign", "answers", "Answers", tooltip="What each answer did",
                id="why.answers", key_display="="),
    ]  # fmt: skip

    def __init__(self, case: CaseAtWork, acts: CaseActs, step: Step | None = None) -> None:
        """`step` is one that the planner did not choose; None for the one that stands."""
        super().__init__(case, acts)
        self._step = step
        self._is_unfolded = False
        self._found: tuple[Foreseen, Told] | None = None

    def body(self) -> ComposeResult:
        """The step and its reasons."""
        yield Static("", id="step", markup=False)
        with VerticalScroll(id="reasons"):
            yield HangingText(id="text")
            yield HangingText(id="told")

    def show_assessed(self, current: Assessed) -> None:
        """Show the step and ask for what the answers would do."""
        words = step_text(self.case.rules, self.case.case, self._step or current.assessment.step)
        why = "Why now" if self._step is None else "What it would tell"
        self.query_one("#step", Static).update(f"{why}: {words.heading}")
        self.look_up(partial(self._find, current), partial(self._show_reasons, current))

    async def _find(self, current: Assessed) -> tuple[Foreseen, Told]:
        return await self.acts.foresee(current), await self.acts.told()

    def _show_reasons(self, current: Assessed, found: tuple[Foreseen, Told]) -> None:
        self._found = found
        rules, (foreseen, told) = self.case.rules, found
        about = current.assessment
        if self._step is not None:
            about = self.case.diagnosis.assessor.with_step(about, self._step)
        in_short = self._is_in_short
        lines = step_reasons(rules, current.case, about, foreseen, in_short=in_short)
        self.query_one("#text", HangingText).show(lines)
        self.query_one("#told", HangingText).show(["", *told_lines(rules, told)])
        self.query_one("#told").display = not in_short
        self.refresh_bindings()

    @property
    def _is_in_short(self) -> bool:
        """Whether only the first of it is shown, as on a small screen until all is asked for."""
        return not self._is_unfolded and not self.has_class("-roomy")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What is unfolded stays so."""
        return action != "unfold" or self._is_in_short

    def on_resize(self) -> None:
        """A taller screen has room for all of it."""
        self._show_again()

    def _show_again(self) -> None:
        if self._found is not None and self.case.assessed is not None:
            self._show_reasons(self.case.assessed, self._found)

    def action_unfold(self) -> None:
        """Show all of it."""
        self._is_unfolded = True
        self._show_again()

    def action_answers(self) -> None:
        """Scroll to what each answer did, or back to the top from there."""
        if self._is_in_short:
            self.action_unfold()
            self.call_after_refresh(self._turn, to_answers=True)
            return
        reasons = self.query_one("#reasons", VerticalScroll)
        at_it = reasons.scroll_offset.y >= min(self._below, reasons.max_scroll_y) > 0
        self._turn(to_answers=not at_it)

    @property
    def _below(self) -> int:
        """Where what each answer did begins; its first line is empty."""
        return self.query_one("#told").virtual_region.y + 1

    def _turn(self, *, to_answers: bool) -> None:
        reasons = self.query_one("#reasons", VerticalScroll)
        reasons.scroll_to(y=self._below if to_answers else 0, animate=False)
