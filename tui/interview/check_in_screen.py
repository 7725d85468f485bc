"""One page before the first step: what happened, where it shows, and the readings worth most."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input, Static

from diagnose.case.events import Answered, Case
from diagnose.words.answers import unit_of_bare
from diagnose.words.check_in_words import (
    NONE_OF_THEM,
    READINGS,
    SHOWS,
    SINCE,
    counted_title,
    should_be,
    tick_text,
)
from diagnose.words.figure_words import RANK_WORDS
from diagnose.words.titles import short_titles
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.plain.ticks import UNKNOWN, Ticks, read_or_unknown
from tui.widgets.key_button import KeyButton
from tui.widgets.key_lines import KeyFooter
from tui.widgets.text_lines import put_line, scroll_page
from tui.widgets.word_box import CardInput

_ONE_COLUMN = 72
_THUMB, _BLANK = "*", "____"
_GO_ON, _TAKE = "Go on", "Take this reading"
_MARKS = {"yes": "[x]", "no": "[-]", "": "[ ]"}


class CheckInScreen(CardScreen[tuple[Answered, ...] | None]):
    """Returns an answer for everything ticked, ruled out or read; what is left blank was not said.
    None goes back; `ticks` keeps what stood on the page."""

    CSS_PATH = "check_in_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"tick({key!r})", "Tick", show=False) for key in "abcdefgijklmnopstvwxyz09"),
        *(Binding(str(n), f"read({n})", "Reading", show=False) for n in range(1, 5)),
        Binding("enter", "go_on", "Go on", id="check-in.go"),
        Binding("down,pagedown", "scroll(1)", "Further down", show=False),
        Binding("up,pageup", "scroll(-1)", "Further up", show=False),
    ]

    def __init__(self, rules: RuleBase, case: Case, ticks: Ticks) -> None:
        super().__init__()
        self._rules, self._case, self._ticks = rules, case, ticks

    def compose(self) -> ComposeResult:
        """Two lists of ticks, the readings, and the way on."""
        with VerticalScroll(id="page", can_focus=False):
            with Horizontal(id="lists"):
                for title, (none, keys) in zip((SINCE, SHOWS), self._ticks.lists, strict=True):
                    if keys:
                        yield self._list(title, none, keys)
            if self._ticks.page.readings:
                yield Static(
                    f"{READINGS}: number, figure ({_THUMB} {RANK_WORDS['thumb']})",
                    classes="title",
                    markup=False,
                )
            titles = short_titles(self._rules, self._ticks.page.readings)
            for number, name in enumerate(self._ticks.page.readings, 1):
                with Horizontal(classes="reading"):
                    yield KeyButton(str(number), counted_title(self._rules, name, titles[name]))
                    be = should_be(self._rules, self._case, name)
                    unit = self._unit(name)
                    hint = _BLANK if unit in be.split() else f"{_BLANK} {unit}"
                    yield CardInput(self._written(name), hint, id=f"reading-{number}")
                    be = be.replace(RANK_WORDS["thumb"], _THUMB)
                    said = "said" if name in self._ticks.said else ""
                    yield Static(", ".join(filter(None, (said, be))), markup=False, classes="be")
        yield Static("", id="problem", markup=False)
        yield KeyButton("Enter", _GO_ON, id="go")
        yield KeyFooter()

    def _list(self, title: str, none: str, keys: dict[str, str]) -> Vertical:
        rows = [KeyButton(key, self._label(key)) for key in (*keys, none)]
        for row in rows:
            # Tab goes through the readings: each tick has a key, and columns would be left halfway
            row.can_focus = False
        return Vertical(Static(title, classes="title"), *rows, classes="ticks")

    def on_mount(self) -> None:
        """Fit the lists beside each other where there is room."""
        self.say_problem("")
        self._fit()

    def on_resize(self) -> None:
        """One column on a narrow screen."""
        self._fit()

    def _fit(self) -> None:
        self.query_one("#page").set_class(self.size.width < _ONE_COLUMN, "-one-column")

    def _unit(self, name: str) -> str:
        return unit_of_bare(self._rules, self._case, name)

    def _written(self, name: str) -> str:
        answer = self._ticks.reading(name)
        if answer is None:
            return ""
        return UNKNOWN if answer.reading is None else str(answer.reading)

    def _label(self, key: str) -> str:
        ticks = self._ticks
        if key not in ticks.keys:
            return f"{_MARKS['yes' if key in ticks.no_more else '']} {NONE_OF_THEM}"
        name = ticks.keys[key]
        said = " (said)" if name in ticks.said else ""
        return f"{_MARKS[ticks.state(name)]} {tick_text(self._rules, name)}{said}"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of what is on the page work."""
        if action == "tick":
            return self._ticks.can(str(parameters[0]))
        if action == "read":
            return int(str(parameters[0])) <= len(self._ticks.page.readings)
        return True

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Tick anything by its name."""
        for key, name in self._ticks.keys.items():
            yield tick_text(self._rules, name), f"tick({key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        if message.key == "Enter":
            self.action_go_on()
        elif self._ticks.can(message.key):
            self.action_tick(message.key)
        else:
            self.action_read(int(message.key))

    def action_tick(self, key: str) -> None:
        """Tick, or take the tick away."""
        self._ticks.press(key)
        for button in self.query(".ticks KeyButton").results(KeyButton):
            button.show(button.key, self._label(button.key))

    def action_scroll(self, by: int) -> None:
        """Scroll the page."""
        scroll_page(self.query_one("#page"), by)

    def action_read(self, number: int) -> None:
        """Go to the box of a reading."""
        self.query_one(f"#reading-{number}", CardInput).focus()

    def on_descendant_focus(self) -> None:
        """Say what Enter does now."""
        self._name_enter()

    def on_descendant_blur(self) -> None:
        """Say what Enter does now."""
        self._name_enter()

    def _name_enter(self) -> None:
        is_in_box = isinstance(self.focused, CardInput)
        self.query_one("#go", KeyButton).show("Enter", _TAKE if is_in_box else _GO_ON)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Enter in a box takes its reading and leaves the box."""
        if self._take(int(str(message.input.id).rpartition("-")[2])):
            self.set_focus(None)

    def _take(self, number: int) -> bool:
        """Take what stands in a box. False where it cannot be a reading; the message says why."""
        name = self._ticks.page.readings[number - 1]
        box = self.query_one(f"#reading-{number}", CardInput)
        self._ticks.readings.pop(name, None)
        text = box.value.strip()
        if text:
            try:
                answer = read_or_unknown(self._rules, name, text, self._unit(name))
            except BadInput as error:
                self.say_problem(str(error))
                box.focus()
                # what is typed next takes the place of what was refused
                box.select_all()
                return False
            self._ticks.readings[name] = answer
            box.value = self._written(name)
        self.say_problem("")
        return True

    def say_problem(self, text: str) -> None:
        """Show what is wrong with a reading, or hide that line where `text` is empty."""
        put_line(self.query_one("#problem", Static), text)

    def action_go_on(self) -> None:
        """Return what was said on the page."""
        if all(self._take(n) for n in range(1, len(self._ticks.page.readings) + 1)):
            self.dismiss(self._ticks.events)

    def action_leave(self) -> None:
        """Leave the box of a reading first, then the page; what can be read in a box is kept."""
        if isinstance(self.focused, CardInput):
            self.set_focus(None)
            return
        for number in range(1, len(self._ticks.page.readings) + 1):
            self._take(number)
        self.dismiss(None)
