"""What the rider says: search as you type over riders' own words, pick one or several."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, OptionList, Static

from diagnose.case.events import Complained
from diagnose.listening.complaints import find_complaints
from diagnose.records.cases.case_title import complaint_title
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.dialogs.pick_screen import PickScreen, offer_choices, picked_event
from tui.plain.offers import place_offers
from tui.widgets.key_footer import KeyFooter
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import put_line
from tui.widgets.word_box import SearchBox

_HINT = "Type what the rider says, or pick a number. Enter on an empty line goes on."


class ComplaintScreen(CardScreen[tuple[Complained, ...] | None]):
    """Returns the complaints picked, or None when the person goes back."""

    CSS_PATH = "complaint_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "SearchBox"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"pick({n})", "Pick by number", show=False) for n in range(1, 10)),
        Binding("enter", "go_on", "Pick / go on", priority=False, id="complaint.go"),
        Binding("down", "move(1)", "Down", show=False, id="complaint.down"),
        Binding("up", "move(-1)", "Up", show=False, id="complaint.up"),
        Binding("ctrl+z", "unpick", "Unpick", tooltip="Take the last pick back", id="unpick"),
        Binding("f1", "app.help", "Help", id="help.f1"),
    ]

    def __init__(self, rules: RuleBase, already: tuple[Complained, ...] = ()) -> None:
        super().__init__()
        self._rules = rules
        self._already = already
        self._picked: list[Complained] = []
        self._found: list[str] = []

    def compose(self) -> ComposeResult:
        """Question, box, what was picked, what was found."""
        yield Static("What does the rider complain of?", id="question")
        yield SearchBox(placeholder="harsh, washy, spits me off rocks ...", id="search")
        yield Static(_HINT, id="hint", markup=False)
        yield Static("", id="picked", markup=False)
        yield RowList(id="found")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Offer everything until a word is typed."""
        self.query_one("#found", OptionList).can_focus = False
        self._search("")
        self._show_picked()

    def on_input_changed(self, message: Input.Changed) -> None:
        """Search with every letter."""
        self._search(message.value.strip())

    def _search(self, text: str) -> None:
        titles = list(self._rules.complaints)
        self._found = find_complaints(self._rules, text, most=9) if text else titles
        found = self.query_one(RowList)
        rows = [self._row(number, key) for number, key in enumerate(self._found, 1)]
        found.show_rows(rows, "" if self._found else "Nothing like it; try another word.")
        if self._found and text:
            found.highlighted = 0

    def _row(self, number: int, key: str) -> Content:
        entry = self._rules.complaints[key]
        mark = f"{number} " if number <= 9 else "  "
        # as many of the rider's words as fit whole
        room = self.size.width - len(mark) - len(entry.title) - 6
        said = entry.said
        while said and len(", ".join(said)) > room:
            said = said[:-1]
        return Content.assemble(f"{mark} ", (entry.title, "bold"), f"  {', '.join(said)}")

    def on_resize(self) -> None:
        """Other sizes show more or fewer of the words."""
        self._search(self.query_one("#search", SearchBox).value.strip())

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Pick any complaint by its title."""
        for number, key in enumerate(self._found, 1):
            yield f"Complaint: {self._rules.complaints[key].title}", f"pick({number})"

    def on_input_submitted(self) -> None:
        """Enter picks what is marked, or goes on when the line is empty."""
        self.action_go_on()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched."""
        self.action_pick(message.option_index + 1)

    def action_go_on(self) -> None:
        """Pick what is marked; with nothing marked, go on with what was picked."""
        marked = self.query_one("#found", OptionList).highlighted
        if marked is not None and self._found:
            self.action_pick(marked + 1)
        elif self._picked:
            self.dismiss(tuple(self._picked))
        elif self._found:
            self.query_one("#found", OptionList).highlighted = 0

    def action_move(self, by: int) -> None:
        """Move the mark down (1) or up (-1)."""
        self.query_one(RowList).move(by)

    def action_pick(self, number: int) -> None:
        """Pick the complaint under a number, asking which end where that matters."""
        if number > len(self._found):
            return
        key = self._found[number - 1]
        if not self._rules.complaints[key].places:
            self._keep(Complained(key))
            return
        places = place_offers(self._rules, key)

        def placed(picked: str | None) -> None:
            event = picked_event(places, picked)
            if isinstance(event, Complained):
                self._keep(event)

        title = f"{self._rules.complaints[key].title}: which end?"
        self.app.push_screen(PickScreen(title, offer_choices(places)), placed)

    def _keep(self, complained: Complained) -> None:
        if complained not in (*self._already, *self._picked):
            self._picked.append(complained)
        box = self.query_one("#search", SearchBox)
        box.value = ""
        self.query_one("#found", OptionList).highlighted = None
        self._show_picked()

    def action_unpick(self) -> None:
        """Take the last pick back."""
        if self._picked:
            self._picked.pop()
            self._show_picked()

    def _show_picked(self) -> None:
        named = [complaint_title(self._rules, item) for item in (*self._already, *self._picked)]
        text = f"Picked: {', '.join(named)}. Another, or Enter to go on." if named else ""
        put_line(self.query_one("#picked", Static), text)
