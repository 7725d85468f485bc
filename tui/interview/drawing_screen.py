"""The drawing of a step, large, with what it shows in words below it."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from rules.language.schema import Picture
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.interview.step_card import StepCard
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_drawing import LineDrawing


class DrawingScreen(CardScreen[None]):
    """A picture of the rule base; in words alone where the terminal has no signs for dots."""

    CSS_PATH = "drawing_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d,enter", "leave", "Back", show=False, id="drawing.leave"),
    ]

    def __init__(self, picture: Picture, svg: str) -> None:
        super().__init__()
        self._picture, self._svg = picture, svg

    def compose(self) -> ComposeResult:
        """The title, the drawing, its words."""
        yield Static(self._picture.title, id="title", markup=False)
        yield LineDrawing(self._svg)
        yield Static(self._picture.description, id="words", markup=False)
        yield KeyFooter()


def show_drawing(screen: Screen[Any], rules: RuleBase) -> None:
    """Show the drawing of the step on the card of `screen`, where it has one."""
    name = screen.query_one(StepCard).picture
    if name:
        screen.app.push_screen(DrawingScreen(rules.pictures[name], rules.drawings[name]))
