"""Behind the harshness budget: what each change would do, what was assumed, where it comes from."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.harshness.changes import what_ifs
from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.shares import answer_end
from rules.problems import BadInput
from tui.dialogs.base import IN_ASCII, CardScreen
from tui.harshness.harsh_lines import (
    SHARES,
    WORKED_OUT,
    basis_lines,
    ride_lines,
    safe_tyre_lines,
    sense_lines,
    what_if_lines,
)
from tui.harshness.stacked_bar import BAR
from tui.harshness.value_sheet import Sheet
from tui.terminal.text import UNWRAPPED, WIDTH, wrapped
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed


class HarshWhyScreen(CardScreen[None]):
    """The same text as the command prints below its bars."""

    CSS_PATH = "harsh_why.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#reasons"
    BINDINGS: ClassVar[list[BindingType]] = [keyed("w", "leave", "Back", show=False)]

    def __init__(self, sheet: Sheet) -> None:
        super().__init__()
        self._sheet = sheet
        self._lines: Callable[[int], list[str]] | None = None

    def compose(self) -> ComposeResult:
        """The title, what each change would do, and what that rests on."""
        title = f"{self._sheet.end.capitalize()}: what each change would do, and what it rests on"
        yield Static(title, id="title", markup=False)
        with VerticalScroll(id="reasons"):
            yield Static("Working out what each change would do ...", id="changes", markup=False)
            yield HangingText(id="basis")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Begin to work it out in the background."""
        self._work_out()

    @work(thread=True, group="harsh-why")
    def _work_out(self) -> None:
        show = self.app.call_from_thread
        try:
            case = build_case(self._sheet.known)
            basis = [
                SHARES,
                *basis_lines(case, UNWRAPPED),
                "",
                BAR,
                WORKED_OUT,
            ]
            show(self._put_basis, basis)
            answer, changes = answer_end(case, self._sheet.end), what_ifs(case, self._sheet.end)
            fancy = not self.app.has_class(IN_ASCII)
            safe = list(safe_tyre_lines(case, answer, UNWRAPPED))

            def lines(width: int) -> list[str]:
                return [
                    *what_if_lines(changes, answer, width),
                    *ride_lines(answer, fancy=fancy, width=width),
                    *sense_lines(answer, width),
                    *(part for line in safe for part in wrapped(line, width=width)),
                ]

            show(self._put_changes, lines)
        except BadInput as error:
            message = str(error)
            show(self._put_changes, lambda width: [message])

    def _put_changes(self, lines: Callable[[int], list[str]]) -> None:
        self._lines = lines
        if self.is_attached:
            changes = self.query_one("#changes", Static)
            width = min(WIDTH, changes.size.width)
            changes.update("\n".join(lines(width)).strip("\n"))

    def on_resize(self) -> None:
        """Fit the table to another width."""
        if self._lines is not None:
            self.call_after_refresh(self._put_changes, self._lines)

    def _put_basis(self, lines: list[str]) -> None:
        if self.is_attached:
            self.query_one(HangingText).show(lines)
