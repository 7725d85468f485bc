"""The cases kept, latest first: search as you type, look at one, go on with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from typing import Any, ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, OptionList, Static

from diagnose.records.cases.case_lists import CaseFilter, CaseRow, CaseRows
from diagnose.words.case_words import fixed_by, outcome_text
from diagnose.words.cause_words import NO_CAUSE
from diagnose.words.chances import ago
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.terminal.clock import day_of
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.word_box import CardInput

_PAGE = 100
_STATES = (None, "open", "closed")
_BIKE_WIDTH = 16
_AROUND = 12  # cases whose standing is worked out before anybody marks them
_NONE_YET = "\n  [a]  Begin the first case"


@dataclass(frozen=True, slots=True)
class CaseState:
    """The causes in front of an open case, each with its chance, and what was said or done last."""

    leading: tuple[str, ...]
    last: str


class CaseLister(Protocol):
    """Finds cases and opens them."""

    async def find(self, wanted: CaseFilter) -> CaseRows:
        """The cases that fit. Raises `BadInput`."""

    async def state_of(self, number: int) -> CaseState:
        """How an open case stands. Raises `BadInput`."""

    def look_at(self, number: int, *, go_on: bool = False) -> None:
        """Show the card of a case, or go on with it."""

    def begin(self) -> None:
        """Begin a case on the bike picked."""


class CasesScreen(CardScreen[None]):
    """Reads a page of cases at a time; moving to its end reads more."""

    CSS_PATH = "case_list.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "RowList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Look", tooltip="Look at the case marked", id="cases.look"),
        keyed("g", "go_on", "Go on with the case marked", id="cases.go"),
        keyed("a", "begin", "Begin another case", id="cases.begin"),
        Binding("slash", "search", "Search", tooltip="Search as you type", id="cases.search",
                key_display="/"),
        Binding("tab", "state", "State", tooltip="All, only open, only closed", id="cases.state"),
        keyed("b", "bike", "Only this bike, or all", id="cases.bike"),
        Binding("down", "to_rows", "To the rows", show=False, id="cases.rows"),
    ]  # fmt: skip

    def __init__(self, rules: RuleBase, today: date, lister: CaseLister) -> None:
        super().__init__()
        self._rules, self._today, self._lister = rules, today, lister
        self._wanted = CaseFilter(limit=_PAGE)
        self._found = CaseRows((), 0)
        self._bike_width = _BIKE_WIDTH
        self._states: dict[tuple[int, datetime], CaseState] = {}

    def compose(self) -> ComposeResult:
        """What is listed, the box, the rows, and the whole of the one marked."""
        yield Static("", id="title", markup=False)
        hint = "/ and a word: complaint, bike, note, correction"
        yield CardInput(placeholder=hint, id="search", select_on_focus=False)
        yield RowList(id="cases")
        yield Static("", id="about", markup=False)
        yield KeyFooter()

    def on_screen_resume(self) -> None:
        """A case may have changed while another screen was on top."""
        self._find()

    def _find(self, **change: Any) -> None:
        self._wanted = replace(self._wanted, **change)
        self.look_up(partial(self._lister.find, self._wanted), self._show)

    def _show(self, found: CaseRows) -> None:
        rows = self.query_one(RowList)
        marked = self._marked()
        self._found = found
        more = found.total - len(found.rows)
        closing = f"{more} more further down" if more else ""
        if not found.rows:
            closing = "No case fits." if self._wanted != CaseFilter(limit=_PAGE) else _NONE_YET
        bikes = max((len(row.bike or "-") for row in found.rows), default=0)
        self._bike_width = min(bikes, _BIKE_WIDTH)
        rows.show_rows(map(self._row, found.rows), closing)
        numbers = [row.id for row in found.rows]
        at = numbers.index(marked.id) if marked is not None and marked.id in numbers else 0
        rows.highlighted = at if found.rows else None
        self._say()

    def _say(self) -> None:
        wanted, found = self._wanted, self._found
        which = f"{wanted.state or 'all'}" + (f", of {wanted.bike}" if wanted.bike else "")
        title = f"Cases, {which}: {found.total}, latest first. Enter looks at one."
        self.query_one("#title", Static).update(title)
        marked = self._marked()
        self.query_one("#about", Static).update(self._about(marked) if marked else "")
        self._look_at_next()

    def _look_at_next(self) -> None:
        """Find out how the next open case stands: the one marked before those around it."""
        at = self.query_one(RowList).highlighted or 0
        first = max(0, at - _AROUND // 2)
        near = (*self._found.rows[at : at + 1], *self._found.rows[first : first + _AROUND])
        unknown = (r for r in near if r.state == "open" and self._key(r) not in self._states)
        row = next(unknown, None)
        if row is not None:
            self.look_up(partial(self._lister.state_of, row.id), partial(self._put, row))

    def _put(self, row: CaseRow, state: CaseState) -> None:
        self._states[self._key(row)] = state
        if row in self._found.rows:
            rows = self.query_one(RowList)
            rows.change_row(self._found.rows.index(row), self._row(row))
        if self._marked() == row:
            self.query_one("#about", Static).update(self._about(row))
        self._look_at_next()

    @staticmethod
    def _key(row: CaseRow) -> tuple[int, datetime]:
        return row.id, row.changed_at

    def _marked(self) -> CaseRow | None:
        at = self.query_one(RowList).highlighted
        return self._found.rows[at] if at is not None and at < len(self._found.rows) else None

    def _row(self, row: CaseRow) -> Content:
        when = ago((self._today - day_of(row.changed_at)).days)
        bike, width = (row.bike or "-")[:_BIKE_WIDTH], self._bike_width
        return Content.assemble(
            f"{row.id:>4}  {row.outcome or row.state:<13}  {when:<13}  {bike:<{width}}  ",
            (row.title, "bold"),
            f"\n{' ' * 6}{self._stands(row)}",
        )

    def _stands(self, row: CaseRow) -> str:
        """The causes in front and the last step of an open case, what fixed a closed one."""
        if row.state != "open":
            return fixed_by(self._rules, row)
        state = self._states.get(self._key(row))
        if state is None:
            return "..."
        return f"{next(iter(state.leading), NO_CAUSE)}. Last: {state.last}"

    def _about(self, row: CaseRow) -> str:
        bike = f" of {row.bike}" if row.bike else ""
        opened = day_of(row.opened_at).isoformat()
        outcome = outcome_text(self._rules, row)
        said = f"Case {row.id}{bike}, opened {opened}: {row.title}; {outcome}"
        state = self._states.get(self._key(row))
        if state is None:
            return said
        leading = "; ".join(state.leading) or NO_CAUSE
        return f"{said}\nSo far: {leading}. Last: {state.last}"

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any case that is listed."""
        for row in self._found.rows:
            yield f"Look at: case {row.id}, {row.title}", f"look_at({row.id})"

    # -- searching -------------------------------------------------------------------------------

    def on_input_changed(self, message: Input.Changed) -> None:
        """Search with every letter."""
        self._find(text=message.value, limit=_PAGE)

    def on_input_submitted(self) -> None:
        """Enter in the box looks at what is marked."""
        self.action_look()

    def action_search(self) -> None:
        """Give the keys to the box."""
        self.query_one(CardInput).focus()

    def action_to_rows(self) -> None:
        """Give the keys to the rows."""
        self.query_one(RowList).focus()

    def action_state(self) -> None:
        """List all cases, then only open ones, then only closed ones."""
        at = _STATES.index(self._wanted.state)
        self._find(state=_STATES[(at + 1) % len(_STATES)], limit=_PAGE)

    def action_bike(self) -> None:
        """Only the bike of the case marked, or all again."""
        marked = self._marked()
        if self._wanted.bike is not None:
            self._find(bike=None, limit=_PAGE)
        elif marked is not None and marked.bike is not None:
            self._find(bike=marked.bike, limit=_PAGE)
        else:
            self.notify("This case is of no bike that is kept.")

    def action_leave(self) -> None:
        """Empty the box first, then go back."""
        box = self.query_one(CardInput)
        if box.value:
            box.value = ""
            self.action_to_rows()
        else:
            self.dismiss(None)

    # -- looking ---------------------------------------------------------------------------------

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Show in full what is marked; at the end of the page, read the next one."""
        self._say()
        last = message.option_index == len(self._found.rows) - 1
        if last and self._found.total > len(self._found.rows) and len(self._found.rows) > 1:
            self._find(limit=self._wanted.limit + _PAGE)

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a row."""
        self.action_look_at(self._found.rows[message.option_index].id)

    def action_look(self) -> None:
        """Look at the one marked."""
        marked = self._marked()
        if marked is not None:
            self.action_look_at(marked.id)

    def action_look_at(self, number: int) -> None:
        """Look at a case."""
        self._lister.look_at(number)

    def action_begin(self) -> None:
        """Begin a case."""
        self._lister.begin()

    def action_go_on(self) -> None:
        """Go on with the one marked where it stopped."""
        marked = self._marked()
        if marked is not None:
            self._lister.look_at(marked.id, go_on=True)
