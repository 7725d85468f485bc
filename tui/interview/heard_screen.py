"""What was understood of the rider's words: strike out, answer what is open, add, go on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.listening.understood import Item, Understood
from diagnose.words.heard_words import item_text, not_taken_lines, question_text, quoted
from tui.dialogs.base import CardScreen
from tui.dialogs.prompt_screen import PromptScreen
from tui.interview.answer_pad import AnswerPad
from tui.plain.heard_offers import NO_COMPLAINT, choice_of, first_free, question_offers
from tui.terminal.text import broken
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import put_line

_NUMBERS = 9
"""As many lines can be struck out and answers given with one figure."""


class HeardScreen(CardScreen[Understood | None]):
    """Returns what stands, or None to go back to the words."""

    CSS_PATH = "heard_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#items"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", "Go on", priority=True, id="heard.go"),
        *(Binding(str(n), f"number({n})", "Strike out", tooltip="Strike out that line, or answer",
                  show=False) for n in range(1, _NUMBERS + 1)),
        Binding("plus", "more", "Say more", tooltip="Say something else", key_display="+",
                id="heard.more"),
        *(Binding(key, f"answer({sign!r})", "Answer", show=False, key_display=sign)
          for key, sign in (("y", "y"), ("n", "n"), ("question_mark", "?"))),
    ]  # fmt: skip

    def __init__(self, understood: Understood) -> None:
        super().__init__()
        self._understood = understood
        self._items: tuple[Item, ...] = ()

    def compose(self) -> ComposeResult:
        """The words, what was understood, what is asked, and the way on."""
        with VerticalScroll(id="words", can_focus=False):
            yield Static("", id="said", markup=False)
        yield RowList(id="items")
        yield Static("", id="asked", markup=False)
        yield AnswerPad(id="pad")
        yield Static("", id="none", markup=False)
        yield KeyButton("Enter", "Go on", id="go")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show what was understood."""
        self._show()

    def on_resize(self) -> None:
        """Other sizes show more or less on a line."""
        self._show_items()

    def _show(self) -> None:
        understood = self._understood
        story = understood.story
        said = "\n".join([f"“{story.text}”", *story.remarks])
        self.query_one("#said", Static).update(said)
        self._show_items()
        question = understood.question
        rules = understood.rules
        asked = "" if question is None else question_text(rules, question)
        put_line(self.query_one("#asked", Static), asked)
        pad = self.query_one(AnswerPad)
        pad.show(() if question is None else question_offers(rules, question, self._first))
        pad.display = question is not None
        ready = understood.has_complaint or question is not None
        put_line(self.query_one("#none", Static), "" if ready else NO_COMPLAINT)
        way_on = "Go on" if understood.has_complaint else "The list of complaints"
        last = min(len(self._items), self._first - 1)
        lines = "1" if last == 1 else f"1-{last}"
        strike = f"   {lines} strikes out   + says more" if last else "   + says more"
        self.query_one("#go", KeyButton).show("Enter", f"{way_on}{strike}")
        self.refresh_bindings()

    @property
    def _first(self) -> int:
        """The number of the first answer; those before it strike out."""
        return first_free(self._understood, _NUMBERS)

    def _show_items(self) -> None:
        self._items = self._understood.items
        rows = self.query_one("#items", RowList)
        marked = rows.highlighted
        closing = "" if self._items else "Nothing in it is a fact that is known here."
        shown = [self._row(n, item) for n, item in enumerate(self._items, 1)]
        aside = not_taken_lines(self._understood.rules, self._understood.story)
        shown += [Content(f"    {line}") for line in aside]
        rows.show_rows(shown, closing, range(len(self._items), len(shown)))
        if self._items:
            rows.highlighted = min(marked or 0, len(self._items) - 1)

    def _row(self, number: int, item: Item) -> Content:
        text, words = item_text(self._understood.rules, item), quoted(item.words)
        mark = "– struck out: " if item.is_struck else "✓ "
        key = str(number) if number < self._first else " "
        room = self.size.width - len(text) - len(words) - len(mark) - 8
        between = " " * min(room, max(2, 44 - len(text) - len(mark))) if room > 1 else "\n      "
        inside = max(20, self.size.width - 10)
        text = "\n      ".join(broken(text, inside - len(mark)))
        words = words if room > 1 else "\n      ".join(broken(words, inside))
        return Content.assemble(f"{key} {mark}", (text, "" if item.is_struck else "bold"),
                                between, words)  # fmt: skip

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the answers work."""
        key = str(parameters[0]) if parameters else ""
        if action == "number" and int(key) < self._first:
            return int(key) <= len(self._items)
        # the key line asks for this also while a screen is being put together or taken apart
        pads = self.query(AnswerPad)
        return action not in ("answer", "number") or any(pad.find(key) for pad in pads)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Strike out any item by its text, and give any answer by its label."""
        for number, item in enumerate(self._items, 1):
            yield f"Strike out: {item_text(self._understood.rules, item)}", f"strike({number})"
        for offer in self.query_one(AnswerPad).offers:
            yield f"Answer: {offer.label}", f"answer({offer.key!r})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched."""
        self.action_strike(message.option_index + 1)

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        if message.key == "Enter":
            self.action_go_on()
        else:
            self.action_answer(message.key)

    def action_number(self, number: int) -> None:
        """Strike out the line with that number, or give the answer that has it."""
        if number < self._first:
            self.action_strike(number)
        else:
            self.action_answer(str(number))

    def action_strike(self, number: int) -> None:
        """Strike out an item, or let it stand again."""
        if number <= len(self._items):
            self._turn_to(self._understood.strike(self._items[number - 1]))

    def action_answer(self, key: str) -> None:
        """Answer what is asked."""
        question = self._understood.question
        if question is not None:
            self._turn_to(self._understood.answer(question, choice_of(question, key, self._first)))

    def action_more(self) -> None:
        """Ask for more words and listen to all of them."""

        def said(text: str | None) -> None:
            if text:
                self._turn_to(self._understood.add(text))

        self.app.push_screen(PromptScreen("What else? In the rider's words."), said)

    def _turn_to(self, understood: Understood) -> None:
        self._understood = understood
        self._show()

    def action_go_on(self) -> None:
        """Return what stands."""
        self.dismiss(self._understood)
