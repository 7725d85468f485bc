"""A finished case step by step: what was known, what was chosen, what is better."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, VerticalScroll
from textual.widgets import Static

from diagnose.training.words.review_words import (
    choice_lines,
    known_lines,
    leading_words,
    took_text,
)
from tui.dialogs.base import CardScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter

_PAD = (Does("Left", "Step before", "step(-1)"), Does("Enter", "Go on", "step(1)"))


class ReviewScreen(CardScreen[bool | None]):
    """Left and Right go through the steps; Up and Down scroll what was known."""

    CSS_PATH = "review_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Before", tooltip="The step before", id="review.before",
                key_display="Left"),
        Binding("right,enter", "step(1)", "Go on", tooltip="The next step", id="review.next",
                key_display="Enter"),
        Binding("home", "go(0)", "First", tooltip="The first step", show=False, id="review.first"),
        Binding("end", "go(-1)", "Last", tooltip="The last step", show=False, id="review.last"),
        Binding("down,pagedown", "scroll(1)", "More text", show=False, id="review.more"),
        Binding("up,pageup", "scroll(-1)", "Text above", show=False, id="review.less"),
    ]  # fmt: skip

    def __init__(self, document: Mapping[str, Any], titles: Mapping[str, str]) -> None:
        super().__init__()
        self._document, self._titles = document, titles
        self._at = 0

    def compose(self) -> ComposeResult:
        """Which step, the choice, what was known, buttons."""
        yield Static("", id="title", markup=False)
        yield HangingText(id="leading")
        with Grid(id="body"):
            with VerticalScroll(id="choice", can_focus=False):
                yield HangingText(id="chosen")
            with VerticalScroll(id="knew", can_focus=False):
                yield Static("Known then", classes="title", markup=False)
                yield HangingText(id="known")
        yield ActionPad(_PAD, columns=2)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the first step."""
        self.action_go(0)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Go to any step."""
        for number, step in enumerate(self._document["review"]):
            yield f"Step {number + 1}: {step['did']}", f"go({number})"

    def action_go(self, at: int) -> None:
        """Show a step; -1 is the last."""
        steps = self._document["review"]
        self._at = at % len(steps)
        step = steps[self._at]
        self.query_one("#title", Static).update(self.heading(step))
        self.query_one("#leading", HangingText).show([leading_words(step, self._titles)])
        self.query_one("#chosen", HangingText).show(self.told(step))
        known = list(known_lines(self._document, self._at + 1))
        self.query_one("#known", HangingText).show(known or ["- nothing but the complaint"])
        self.query_one("#knew").scroll_end(animate=False)

    def heading(self, step: Mapping[str, Any]) -> str:
        """Which step it is, and what it took."""
        return f"Step {step['number']} of {len(self._document['review'])}, {took_text(step)}"

    def told(self, step: Mapping[str, Any]) -> Iterator[str]:
        """What is said of a step."""
        return choice_lines(step, self._titles)

    def action_step(self, by: int) -> None:
        """The next step, or the one before."""
        if self._at + by < 0:
            self.notify("This is the first step.")
        elif self._at + by == len(self._document["review"]):
            self.end()
        else:
            self.action_go(self._at + by)

    def end(self) -> None:
        """What comes after the last step."""
        self.notify("That was the last step.")

    def action_scroll(self, by: int) -> None:
        """Scroll what was known."""
        self.query_one("#knew").scroll_relative(y=by * 4, animate=False)
