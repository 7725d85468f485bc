"""A step before it is made: what it is, and its cautions for whoever reads them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Move
from diagnose.training.words.encounter_words import move_label, move_words
from tui.dialogs.base import CardDialog
from tui.interview.step_card import MoreLine, StepCard
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.text_lines import put_line

_SHARE = 0.96  # of the screen, as its style sheet has it
_LEAST = 4  # what to do, and two lines of how


class MoveScreen(CardDialog[bool | None]):
    """Returns whether the cautions were read, or None where the step is left undone."""

    CSS_PATH = "move_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("v", "read", "Read the cautions", id="move.read"),
        keyed("f", "do", "Do it now", "Do it", id="move.do"),
        Binding("down,pagedown", "scroll(1)", "More text", show=False, id="move.more"),
        Binding("up,pageup", "scroll(-1)", "Text above", show=False, id="move.less"),
    ]

    def __init__(self, encounter: Encounter, move: Move, cautions: Sequence[str]) -> None:
        super().__init__()
        self._words = move_words(encounter, move)
        self._label = move_label(encounter, move)
        self._cautions = tuple(cautions)
        self._encounter, self._move = encounter, move
        self._is_read = bool(cautions) and encounter.has_read(move)

    def compose(self) -> ComposeResult:
        """The step, what stands before it, the ways on."""
        count = len(self._cautions)
        ways = [Does("v", "Read the cautions first", "read")] if count else []
        skip = "Do it without reading them" if count else "Do it"
        ways += [Does("f", skip, "do"), Does("Esc", "Leave it", "leave")]
        with Vertical(id="box"):
            yield (card := StepCard())
            yield MoreLine(card)
            yield Static("", id="before", markup=False)
            yield ActionPad(ways, columns=1)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the step and how many cautions it has."""
        count = len(self._cautions)
        before = f"{count} caution{'s' * (count != 1)} stand{'s' * (count == 1)} before this step."
        put_line(self.query_one("#before", Static), before if count else "")
        self.query_one(StepCard).show(self._label, self._words)
        if self._is_read:
            self._show_read()
        self._fit()

    def on_resize(self) -> None:
        """Other sizes show more or less of it."""
        self._fit()

    def _fit(self) -> None:
        """Leave the card the lines that the buttons do not need, once it has been laid out."""
        self.call_after_refresh(self._leave_room)

    def _leave_room(self) -> None:
        card, more = self.query_one(StepCard), self.query_one(MoreLine)
        box, footer = self.query_one("#box"), self.query_one(KeyFooter)
        others = [part for part in box.children if part.display and part not in (card, more)]
        taken = 1 + sum(part.outer_size.height + part.styles.margin.height for part in others)
        whole = int((self.size.height - footer.size.height) * _SHARE)
        card.styles.max_height = max(_LEAST, whole - box.gutter.height - taken)
        more.count()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only cautions that are there and unread can be read."""
        return action != "read" or (bool(self._cautions) and not self._is_read)

    def action_read(self) -> None:
        """Show the cautions, which counts as reading them."""
        if not self._cautions:
            return
        self._is_read = True
        self._encounter.read_cautions(self._move)
        self._show_read()
        self.refresh_bindings()
        self._fit()

    def _show_read(self) -> None:
        self.query_one(StepCard).show(self._label, replace(self._words, cautions=self._cautions))
        self.query_one("#before").display = False
        self.query_one(ActionPad).relabel("v", "Read, above")
        self.query_one(ActionPad).relabel("f", "I have read them: do it")

    def action_do(self) -> None:
        """Return whether the cautions were read, and so do the step."""
        self.dismiss(self._is_read)

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the step by pages."""
        self.query_one(StepCard).page(by)
