"""What the record of the bike says: its latest cases, and what need not be asked again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.records.cases.known import Assumption
from diagnose.words.case_words import assumption_parts, earlier_text
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.interview.starting import KnownOfBike
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList


class KnownScreen(CardScreen[tuple[Assumption, ...] | None]):
    """Returns the assumptions that still hold, or None where the case is not begun."""

    CSS_PATH = "known_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "RowList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", "Go on", tooltip="Go on to the complaint", id="known.go",
                priority=True),
        keyed("z", "turn", "No longer so, or so after all", id="known.turn"),
    ]  # fmt: skip

    def __init__(self, rules: RuleBase, known: KnownOfBike) -> None:
        super().__init__()
        self._rules, self._known = rules, known
        self._gone: set[int] = set()

    def compose(self) -> ComposeResult:
        """Earlier cases, then what is assumed, then the way on."""
        known = self._known
        yield Static(f"{known.bike.name}: what its record says", id="title", markup=False)
        for row in known.earlier:
            text = earlier_text(self._rules, row, known.today)
            yield Static(f"Before: {text}", classes="before", markup=False)
        if known.assumptions:
            yield Static("Not asked again. z strikes out what is no longer so.", id="hint")
            yield RowList(id="known")
        yield KeyButton("Enter", "Go on to the complaint", id="go")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show what is assumed."""
        self._show()

    def _show(self) -> None:
        if not self._known.assumptions:
            return
        rows = self.query_one(RowList)
        marked = rows.highlighted or 0
        rows.show_rows(self._row(n, item) for n, item in enumerate(self._known.assumptions))
        rows.highlighted = marked

    def _row(self, number: int, item: Assumption) -> Content:
        said, rests_on = assumption_parts(self._rules, item)
        mark = "NO LONGER SO: " if number in self._gone else ""
        return Content.assemble(mark, (said, "bold"), f"\n   {rests_on}")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Nothing can be struck out where nothing is assumed."""
        return action != "turn" or bool(self._known.assumptions)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Strike out any assumption by its text."""
        for number, item in enumerate(self._known.assumptions):
            said, _ = assumption_parts(self._rules, item)
            yield f"No longer so: {said}", f"turn_at({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched."""
        self.action_turn_at(message.option_index)

    def on_key_button_pressed(self) -> None:
        """The button was touched."""
        self.action_go_on()

    def action_turn(self) -> None:
        """The marked line no longer holds, or holds after all."""
        self.action_turn_at(self.query_one(RowList).highlighted or 0)

    def action_turn_at(self, number: int) -> None:
        """The line at `number` no longer holds, or holds after all."""
        self._gone ^= {number}
        self._show()

    def action_go_on(self) -> None:
        """Return the assumptions that still hold."""
        items = enumerate(self._known.assumptions)
        self.dismiss(tuple(item for number, item in items if number not in self._gone))
