"""Tyre or damping? The values of one end under the arrow keys, and what they make of it at once."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from itertools import takewhile
from time import monotonic
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal, Vertical
from textual.widgets import OptionList, Static

from diagnose.harshness.live import RIDES, Asked, LiveAnswer, LiveBudget, Superseded
from diagnose.harshness.said import whole_percent, worst_words
from diagnose.harshness.values import VALUES
from diagnose.words.answers import accepted
from rules.problems import BadInput
from rules.units.quantities import Quantity
from tui.dialogs.base import IN_ASCII, CardScreen, glyphs_of
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.dialogs.prompt_screen import PromptScreen, refusal
from tui.harshness.curve_plot import CurvePlot
from tui.harshness.harsh_lines import (
    CAUTION,
    CAUTION_IN_SHORT,
    basis_lines,
    model_words,
    sense_lines,
)
from tui.harshness.harsh_why import HarshWhyScreen
from tui.harshness.ride_bars import RideBars
from tui.harshness.value_rows import TRIED, ValueList, heading, rows
from tui.harshness.value_sheet import Sheet, label
from tui.terminal.text import UNWRAPPED
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_button import KeyButton
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.text_lines import put_line, put_text

_WORST = "the worst of them"
# the thorough answer waits until no key has been pressed for so many seconds
PAUSE = 0.25
# a key that comes so soon after the one before is held down, and its answer waits for the next one
HELD = 0.1
# columns that the keys need in one line, close together and as usual
_SLIM_BELOW, _CLOSE_BELOW = 80, 84
_SHARES = "Shares add up to 100 %; what softens has none (w)."
_BUTTONS = (("Left", "Less"), ("Right", "More"), ("z", "Not measured"), ("Tab", "Other end"))


Keep = Callable[[str, Quantity], None]
"""Takes the observation and its reading. Raises `BadInput`."""


class HarshScreen(CardScreen[Sheet]):
    """Returns its values, so that they are there when it is opened again.

    Values change at once. The answer follows from a worker; only the latest question is answered.
    """

    CSS_PATH = "harsh.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#values"
    BINDINGS: ClassVar[list[BindingType]] = [
        # the list would scroll sideways with them
        Binding(
            "left", "change(-1)", "Less", tooltip="Less of it", id="harsh.less", priority=True,
            show=False,
        ),
        Binding(
            "right", "change(1)", "Step", tooltip="More of it", id="harsh.more", priority=True,
            key_display="←→",
        ),
        Binding("tab", "other_end", "F/R", tooltip="Front or rear", id="harsh.end"),
        keyed("r", "manual", "Type what it should be by the manual", "Manual", id="harsh.manual"),
        keyed("z", "forget", "Back to not measured", "None", id="harsh.forget"),
        keyed("e", "ride", "Another ground to ride on", "Ground", id="harsh.ride"),
        keyed("w", "why", "What each change would do; assumptions and sources", id="harsh.why"),
        keyed("u", "thumb", "Back to the rule of thumb", "Take back", id="harsh.thumb", show=False),
    ]  # fmt: skip

    def __init__(self, sheet: Sheet, whose: str = "", keep: Keep | None = None) -> None:
        """`whose` readings the page begins with, in words; empty where it begins with none. `keep`
        makes a reading that is typed one of the case; what the arrows step to is only tried."""
        super().__init__()
        self._sheet, self._whose, self._keep = sheet, whose, keep
        self._ride: str | None = None  # the worst
        self._told: LiveAnswer | None = None
        self._lines: tuple[str, ...] = ()
        self._asked: Asked | None = None
        self._asked_at = 0.0
        self._budget = LiveBudget()
        # one thread each, so that work does not pile up while a key is held down
        self._quick = ThreadPoolExecutor(1)
        self._thorough = ThreadPoolExecutor(1)

    def compose(self) -> ComposeResult:
        """Answer; values and curve beside a bar for every ride; cautions."""
        with Vertical(id="head"):
            yield Static("", id="where", markup=False)
            yield Static("", id="model", markup=False)
        yield Static("", id="answer", markup=False)
        yield Static("", id="overall", markup=False)
        yield Static("", id="problem", markup=False)
        with Container(id="body"):
            with Vertical(id="left"):
                yield Static("", id="columns", markup=False)
                yield ValueList(id="values")
                yield Static(_SHARES, id="shares", markup=False)
                yield CurvePlot(id="curve")
            with Vertical(id="right"):
                yield RideBars(id="bars")
                yield HangingText(id="basis")
        with Horizontal(id="pad"):
            for key, words in _BUTTONS:
                yield KeyButton(key, words)
        yield Static("", id="caution", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the values and ask what they make."""
        self.query_one(CurvePlot).fine = not self.app.has_class(IN_ASCII)
        self.query_one(RideBars).fine = not self.app.has_class(IN_ASCII)
        self.query_one("#problem").display = False
        self.query_one("#overall").display = False
        self._show_rows(0)
        self._work_out()

    def on_unmount(self) -> None:
        """Give up what is still being worked out."""
        self._asked = None
        for pool in (self._quick, self._thorough):
            pool.shutdown(wait=False, cancel_futures=True)

    def on_resize(self) -> None:
        """Fit the bars and the keys to another width."""
        self.set_class(self.size.width < _SLIM_BELOW, "-slim")
        self.query_one(KeyFooter).compact = _SLIM_BELOW <= self.size.width < _CLOSE_BELOW
        self.call_after_refresh(self._show_rows)

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show_rows()

    @property
    def _marked(self) -> str:
        """The name of the value marked."""
        return self._sheet.names[self.query_one(ValueList).highlighted or 0]

    # -- showing ---------------------------------------------------------------------------------

    def _show_rows(self, marked: int | None = None) -> None:
        told = self._told
        fresh = told is not None and told.asked.end is self._sheet.end
        shares = told.answer.parts if told is not None and fresh else None
        values = self.query_one(ValueList)
        width = values.scrollable_content_region.width or values.size.width
        at = (values.highlighted or 0) if marked is None else marked
        marks = bool(self._whose)
        shown = rows(self._sheet, shares, glyphs_of(self.app), width, marks_tried=marks)
        values.show_rows(shown)
        values.highlighted = at
        parts = (shares or {}).values()
        self.query_one("#shares").display = any(part.share is None for part in parts)
        rough = told is not None and told.rough
        put_text(self.query_one("#columns", Static), heading(width, rough=rough, shares=shares))
        caution = CAUTION if self.has_class("-roomy") else CAUTION_IN_SHORT
        put_text(self.query_one("#caution", Static), f"CAUTION: {caution}")
        ride = f", {self._ride}" if self._ride else ""
        where = f"{self._sheet.end.capitalize()}{ride}: tyre or damping?"
        put_text(self.query_one("#where", Static), where)
        model = model_words(self._sheet.known, self._sheet.end, self._begins_with())
        put_text(self.query_one("#model", Static), model)

    def _begins_with(self) -> str:
        """Whose readings these are, and what becomes of others."""
        if not self._whose:
            return ""
        count = len(self._sheet.read.keys() & VALUES.keys())
        adds = "Enter adds one; " if self._keep else ""
        return f"{self._whose}: {count}; {adds}{TRIED} told, or tried by ←→"

    def _show_first(self, asked: Asked, ride: str, extra: float) -> None:
        """How much harsher, in place of what stood there; the rest follows."""
        if not any(name in asked.known.measured for name in self._sheet.names):
            return
        harsher = f"{ride.capitalize()}: {whole_percent(extra)} harsher (best guess) ..."
        lines = list(self._lines)
        lines[-2:-1] = [harsher]
        self.query_one("#answer", Static).update("\n".join(lines if lines[1:] else [harsher]))

    def _show_told(self, told: LiveAnswer) -> None:
        self._told = told
        said = told.sentence
        lines = [f"CHECK: {check}" for check in told.checks]
        if told.caution is not None:
            lines.insert(0, f"CAUTION: {told.caution}")
        overall = ""
        if told.any_measured:
            answer = told.answer
            lines.append(f"{answer.over.capitalize()}: {worst_words(answer, answer.over)}.")
            if answer.over != answer.worst:
                worst = worst_words(answer, answer.worst)
                overall = f"Worst of {len(RIDES)} rides: {answer.worst}, {worst}."
        lines.append(said[:1].upper() + said[1:])
        self._lines = tuple(lines)
        self.query_one("#answer", Static).update("\n".join(lines))
        put_line(self.query_one("#overall", Static), overall)
        self.query_one(CurvePlot).show(told.curve)
        self.query_one(RideBars).show(told.answer if told.any_measured else None)
        basis = [
            *sense_lines(told.answer, UNWRAPPED),
            *basis_lines(told.case, UNWRAPPED),
        ]
        # the caution has its own place
        basis = [*takewhile(lambda line: not line.startswith("CAUTION"), basis)]
        self.query_one("#basis", HangingText).show(basis)
        self._show_rows()

    def _show_refused(self, message: str) -> None:
        self._told, self._lines = None, ()
        self.query_one("#answer", Static).update(f"Cannot be: {message}")
        put_line(self.query_one("#overall", Static), "")
        self.query_one("#basis", HangingText).show(())
        self.query_one(CurvePlot).show(None)
        self.query_one(RideBars).show(None)
        self._show_rows()

    def _say(self, problem: str) -> None:
        put_line(self.query_one("#problem", Static), problem)

    # -- working it out --------------------------------------------------------------------------

    def _work_out(self) -> None:
        before, self._asked_at = self._asked_at, monotonic()
        self._asked = Asked(self._sheet.known, self._sheet.end, self._ride, self._marked)
        self._follow(self._asked, is_held=self._asked_at - before < HELD)

    @work(exclusive=True, group="harsh")
    async def _follow(self, asked: Asked, *, is_held: bool) -> None:
        """The quick answer, and once no key follows the thorough one."""
        if is_held:
            await asyncio.sleep(HELD)
        run = asyncio.get_running_loop().run_in_executor

        def wanted() -> bool:
            return self._asked is asked

        try:
            self._show_first(asked, *await run(self._quick, self._budget.first, asked))
            told = await run(self._quick, self._budget.quick, asked, wanted)
            self._show_told(told)
            if told.rough:
                await asyncio.sleep(PAUSE)
                self._show_told(await run(self._thorough, self._budget.thorough, asked, wanted))
        except Superseded:
            return
        except BadInput as error:
            self._show_refused(str(error))

    def _change(self, change: Callable[[], Sheet]) -> None:
        """Show a change at once, or what is wrong with it."""
        try:
            self._sheet = change()
        except BadInput as error:
            self._say(str(error))
            return
        self._say("")
        self._show_rows()
        self._work_out()

    # -- keys ------------------------------------------------------------------------------------

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Mark any value and pick any ride by name."""
        for number, name in enumerate(self._sheet.names):
            yield f"Look at: {label(name)}", f"mark({number})"
        for ride in (_WORST, *RIDES):
            yield f"Ride: {ride}", f"ride_over({ride!r})"

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Another value is marked: its curve is wanted."""
        if self._asked is not None and self._asked.value != self._marked:
            self._say("")
            self._work_out()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a row."""
        self.action_type()

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        if message.key in ("Left", "Right"):
            self.action_change(1 if message.key == "Right" else -1)
        elif message.key == "z":
            self.action_forget()
        else:
            self.action_other_end()

    def action_mark(self, number: int) -> None:
        """Mark the value at a position."""
        self.query_one(ValueList).highlighted = number

    def action_change(self, by: int) -> None:
        """Change the value marked by a step, less (-1) or more (1)."""
        self._change(lambda: self._sheet.stepped(self._marked, by))

    def action_forget(self) -> None:
        """Take the reading of the value marked back to not measured."""
        self._change(lambda: self._sheet.unmeasured(self._marked))

    def action_thumb(self) -> None:
        """Take what the value marked should be back to the rule of thumb."""
        self._change(lambda: self._sheet.by_thumb(self._marked))

    def action_other_end(self) -> None:
        """Look at the other end of the bike."""
        self._sheet = self._sheet.at_other_end()
        self._told, self._lines = None, ()
        self._say("")
        self._show_rows(0)
        self._work_out()

    def action_ride(self) -> None:
        """Pick what is ridden over."""
        choices = numbered([(name, name.capitalize()) for name in (_WORST, *RIDES)])

        def picked(name: str | None) -> None:
            if name is not None:
                self.action_ride_over(name)

        self.app.push_screen(PickScreen("Harsh where?", choices), picked)

    def action_ride_over(self, ride: str) -> None:
        """Ride over another ground, or the worst."""
        self._ride = None if ride == _WORST else ride
        self._show_rows()
        self._work_out()

    def action_type(self) -> None:
        """Type the value marked, as measured."""
        name = self._marked
        self._ask(VALUES[name].title, name, partial(self._sheet.typed, name), self._kept)

    def action_manual(self) -> None:
        """Type what the value marked should be."""
        name = self._marked
        title = f"By the manual: {VALUES[name].title}"
        self._ask(title, name, lambda text: self._sheet.typed_target(name, text))

    def _kept(self, sheet: Sheet) -> Sheet:
        """The sheet once the reading typed is the case's, where there is a case and it asks for
        it."""
        observation = sheet.asked_by.get(self._marked)
        if self._keep is None or observation is None:
            return sheet
        self._keep(observation, sheet.known.measured[self._marked])
        return sheet.kept(self._marked)

    def _ask(
        self,
        title: str,
        name: str,
        change: Callable[[str], Sheet],
        then: Callable[[Sheet], Sheet] = lambda sheet: sheet,
    ) -> None:
        def typed(text: str | None) -> None:
            if text is not None:
                self._change(lambda: then(change(text)))

        hint = f"A {accepted(self._sheet.target(name).unit)}."
        self.app.push_screen(PromptScreen(title, hint, check=refusal(change)), typed)

    def action_why(self) -> None:
        """Show what each change would do, what was assumed, and where it comes from."""
        self.app.push_screen(HarshWhyScreen(self._sheet))

    def action_leave(self) -> None:
        """Go back to the screen before."""
        self.dismiss(self._sheet)
