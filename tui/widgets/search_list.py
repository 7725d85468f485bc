"""A list that narrows as you type. Letters are keys of the screen until the box is asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, OptionList, Static

from diagnose.listening.complaints import find_by_words
from tui.widgets.row_list import RowList
from tui.widgets.word_box import CardInput

_MOST_NEAR = 9


@dataclass(frozen=True, slots=True)
class SearchRow:
    """What a row stands for, how it looks, and the words it is found by.

    A heading has no value: it cannot be picked, and is hidden where no row is left under it; in a
    list that is `ranked` it shows its words while something is searched for. A row
    with a number is also found by the first digits of that; one kept `aside` shows only when it is
    searched for; there one kept `behind` follows others that fit as well.
    """

    value: str
    look: Content | str
    words: str = ""
    number: str = ""
    aside: bool = False
    behind: bool = False

    def has(self, wanted: Sequence[str]) -> bool:
        """Whether the row is found by the words `wanted`, given in lower case."""
        if self.number and len(wanted) == 1 and wanted[0].isdigit():
            return self.number.startswith(wanted[0])
        text = (self.words or str(self.look)).casefold()
        return all(part in text for part in wanted)

    def distance(self, wanted: Sequence[str]) -> tuple[int, bool]:
        """How far what is shown is from the words `wanted`, for sorting: it begins with them as
        typed, has them so, has words that begin with them, has them anywhere, or they stand only
        among the words it is found by."""
        shown = str(self.look).casefold()
        if self.number and wanted[0].isdigit():
            return int(self.number != wanted[0]), self.behind
        words = re.findall(r"\w+", shown)
        typed = re.escape(" ".join(wanted))
        fits = (
            re.match(rf"[\W\d]*{typed}", shown),
            re.search(rf"\b{typed}", shown),
            all(any(word.startswith(part) for word in words) for part in wanted),
            all(part in shown for part in wanted),
            True,
        )
        return next(n for n, fit in enumerate(fits) if fit), self.behind


class SearchList(Vertical):
    """A box to search with, over rows; the screen's keys act on the row marked."""

    DEFAULT_CSS = """
    SearchList { height: 1fr; }
    SearchList > CardInput { height: 1; border: none; padding: 0 1; background: $panel; }
    SearchList > CardInput:focus { height: 1; border: none; background: $surface; }
    SearchList > .head { height: 1; padding: 0 1; color: $text-muted; text-wrap: nowrap; }
    SearchList > RowList > .option-list--option-disabled { color: $accent; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "Search", tooltip="Search as you type", id="list.search",
                key_display="/"),
        Binding("down", "to_rows", "To the rows", show=False, id="list.rows"),
    ]  # fmt: skip

    @dataclass
    class Chosen(Message):
        """A row was picked with Enter or by touch; `value` is what it stands for."""

        value: str

    @dataclass
    class Marked(Message):
        """Another row is marked; `value` is what it stands for."""

        value: str

    def __init__(
        self,
        placeholder: str,
        empty: str,
        head: str = "",
        id: str | None = None,  # noqa: A002
        *,
        ranked: bool = False,
    ) -> None:
        """Where rows are `ranked`, those found stand in the order of how well the words fit them, a
        question of which none has every word finds those that come nearest, and Enter in the box
        picks one only where no other is left."""
        super().__init__(id=id)
        self._ranked = ranked
        self._placeholder, self._empty, self._head = placeholder, empty, head
        self._rows: list[SearchRow] = []
        self._shown: list[SearchRow] = []

    def compose(self) -> ComposeResult:
        """The box, the head where there is one, and the rows."""
        yield CardInput(placeholder=self._placeholder, select_on_focus=False)
        if self._head:
            yield Static(self._head, classes="head", markup=False)
        yield RowList()

    @property
    def values(self) -> list[str]:
        """What the rows shown stand for."""
        return [row.value for row in self._shown if row.value]

    @property
    def marked(self) -> str | None:
        """What the row marked stands for."""
        at = self.query_one(RowList).highlighted
        return self._shown[at].value or None if at is not None and self._shown else None

    @property
    def is_searching(self) -> bool:
        """Whether the box has the keys, or something stands in it."""
        box = self.query_one(CardInput)
        return box.has_focus or bool(box.value)

    def say_when_empty(self, text: str) -> None:
        """Set what is shown where no row is left; used from the next rows on."""
        self._empty = text

    def show_rows(self, rows: Sequence[SearchRow], mark: str | None = None) -> None:
        """Show these rows; the mark goes to `mark`, or stays where it was."""
        kept = mark if mark is not None else self.marked
        self._rows = list(rows)
        self._narrow(kept)

    def mark(self, value: str | None) -> None:
        """Mark the row with this value, if it is shown."""
        found = [n for n, row in enumerate(self._shown) if row.value == value]
        if found:
            self.query_one(RowList).highlighted = found[0]

    def take_keys(self) -> None:
        """Give the keys to the rows."""
        self.query_one(RowList).focus()

    def stop_searching(self) -> None:
        """Show every row again and give the keys to the rows; the mark stays."""
        kept = self.marked
        with self.prevent(Input.Changed):
            self.query_one(CardInput).value = ""
        self._narrow(kept)
        self.take_keys()

    def action_search(self) -> None:
        """Type to narrow the list; every search begins with an empty box."""
        box = self.query_one(CardInput)
        if not box.has_focus:
            box.value = ""
            box.focus()

    def action_to_rows(self) -> None:
        """Go from the box to the rows."""
        self.take_keys()

    def on_input_changed(self, message: Input.Changed) -> None:
        """Narrow with every letter."""
        message.stop()
        self._narrow(None)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Enter in the box picks what is marked, and the search is over; of several that are ranked
        one has to be chosen first."""
        message.stop()
        picked, typed = self.marked, message.value.strip()
        found = [row for row in self._shown if row.value]
        is_plain = len(found) == 1 or any(row.number == typed for row in found)
        if self._ranked and typed and picked is not None and not is_plain:
            self.take_keys()
            self.notify(f"{len(found)} are found. Up and Down choose, Enter takes the one marked.")
        elif picked is not None:
            self.stop_searching()
            self.post_message(self.Chosen(picked))

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter on a row, or a touch."""
        message.stop()
        self.post_message(self.Chosen(self._shown[message.option_index].value))

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Say which row is marked now."""
        message.stop()
        if self.marked is not None:
            self.post_message(self.Marked(self.marked))

    def _narrow(self, mark: str | None) -> None:
        wanted = self.query_one(CardInput).value.casefold().split()
        self._shown = list(_under_headings(self._rows, wanted))
        if self._ranked and wanted:
            self._shown = list(_ranked(self._shown, wanted)) or self._near(" ".join(wanted))
        headings = {number for number, row in enumerate(self._shown) if not row.value}
        rows = self.query_one(RowList)
        rows.show_rows(
            (row.look for row in self._shown), "" if self._shown else self._empty, headings
        )
        values = [row.value for row in self._shown]
        first = next((n for n, value in enumerate(values) if value), None)
        rows.highlighted = values.index(mark) if mark and mark in values else first

    def _near(self, typed: str) -> list[SearchRow]:
        """The rows that come nearest to a question of which none has every word."""
        rows = {row.value: row for row in self._rows if row.value}
        sayings = {value: (str(row.look), row.words) for value, row in rows.items()}
        return [rows[value] for value in find_by_words(sayings, typed, _MOST_NEAR)]


def _under_headings(rows: Sequence[SearchRow], wanted: Sequence[str]) -> Iterator[SearchRow]:
    """The rows that have what is wanted, each under its heading."""
    heading: SearchRow | None = None
    for row in rows:
        if not row.value:
            heading = row
        elif row.has(wanted) if wanted else not row.aside:
            if heading is not None:
                yield heading
                heading = None
            yield row


def _ranked(rows: Sequence[SearchRow], wanted: Sequence[str]) -> Iterator[SearchRow]:
    """Rows found by some words, the best fit first within its heading, and the heading with the
    best fit first."""
    groups: list[tuple[list[SearchRow], list[SearchRow]]] = []
    for row in rows:
        if not row.value or not groups:
            groups.append(([] if row.value else [row], []))
        if row.value:
            groups[-1][1].append(row)

    def distance(row: SearchRow) -> tuple[int, bool]:
        return row.distance(wanted)

    for _, found in groups:
        found.sort(key=distance)
    for heading, found in sorted(groups, key=lambda group: distance(group[1][0])):
        yield from (replace(row, look=row.words or row.look) for row in heading)
        yield from found
