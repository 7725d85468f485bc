"""The bike: what kind it is and what it should be set to, rules of thumb marked as such."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, OptionList, Static

from diagnose.case import Case, read_target, target_of
from rules.problems import BadInput
from rules.quantities import Quantity
from rules.rulebase import RuleBase
from tui.screens.base import CardScreen
from tui.screens.pick import PickScreen, numbered
from tui.screens.prompt import PromptScreen
from tui.shelf import Bike
from tui.widgets.row_list import RowList

_THUMB = "rule of thumb"


class BikeScreen(CardScreen[Bike | None]):
    """Returns the bike when it is kept, None when it is left as it was."""

    CSS_PATH = "bike.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#facts"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "change", "Change", tooltip="Change the line marked", id="bike.change"),
        Binding("k", "keep", "Keep", tooltip="Keep the bike as shown", id="bike.keep"),
        Binding("n", "name", "Name", tooltip="Give it a name", id="bike.name"),
        Binding("t", "thumb", "Thumb", tooltip="Back to the rule of thumb", id="bike.thumb"),
    ]

    def __init__(self, rules: RuleBase, bike: Bike) -> None:
        super().__init__()
        self._rules = rules
        self._bike_name = bike.name
        self._traits: dict[str, str] = dict(bike.traits)
        self._targets: dict[str, Quantity] = dict(bike.targets)
        self._lines = ["", *rules.traits, *rules.specs]

    def compose(self) -> ComposeResult:
        """Hint and the facts, a line each."""
        yield Static(
            "The bike. Enter changes a line, k keeps the bike, Escape leaves it as it was. "
            "The manual's figures come before any rule of thumb.",
            id="hint",
        )
        yield RowList(id="facts")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the facts."""
        self._show()

    def _show(self) -> None:
        facts = self.query_one(RowList)
        marked = facts.highlighted or 0
        facts.show_rows(self._row(key) for key in self._lines)
        facts.highlighted = marked

    def _row(self, key: str) -> Content:
        title, value, given = self._fact(key)
        mark = "" if given else f"  ({_THUMB})"
        return Content.assemble(f"{title}: ", (value, "bold"), mark)

    def _fact(self, key: str) -> tuple[str, str, bool]:
        if not key:
            return "Name", self._bike_name or "none given", True
        if key in self._rules.traits:
            trait = self._rules.traits[key]
            option = self._traits.get(key, trait.default)
            return trait.title, trait.options[option], key in self._traits
        spec = self._rules.specs[key]
        figure, is_default = target_of(self._rules, Case(self._traits, self._targets), key)
        return spec.title, str(figure), not is_default

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Change any line."""
        for number, key in enumerate(self._lines):
            yield f"Change: {self._fact(key)[0]}", f"change_at({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a line."""
        self.action_change_at(message.option_index)

    def action_change(self) -> None:
        """Change the line marked."""
        self.action_change_at(self.query_one(RowList).highlighted or 0)

    def action_change_at(self, number: int) -> None:
        """Change a line."""
        key = self._lines[number]
        if not key:
            self.action_name()
        elif key in self._rules.traits:
            self._change_trait(key)
        else:
            self._change_target(key)

    def _change_trait(self, key: str) -> None:
        trait = self._rules.traits[key]

        def picked(option: str | None) -> None:
            if option is not None:
                self._traits[key] = option
                self._show()

        choices = numbered(list(trait.options.items()))
        self.app.push_screen(PickScreen(trait.ask, choices), picked)

    def _change_target(self, key: str) -> None:
        spec = self._rules.specs[key]

        def problem(text: str) -> str:
            try:
                read_target(self._rules, key, text)
            except BadInput as error:
                return str(error)
            return ""

        def typed(text: str | None) -> None:
            if text is not None:
                self._targets.update([read_target(self._rules, key, text)])
                self._show()

        hint = f"The manual's figure in {spec.unit}, or another unit of its kind."
        self.app.push_screen(PromptScreen(spec.title, hint, check=problem), typed)

    def action_name(self) -> None:
        """Ask for a name."""

        def typed(text: str | None) -> None:
            if text is not None:
                self._bike_name = text
                self._show()

        self.app.push_screen(PromptScreen("What is the bike called?", value=self._bike_name), typed)

    def action_thumb(self) -> None:
        """Take the line marked back to its rule of thumb."""
        key = self._lines[self.query_one(RowList).highlighted or 0]
        self._traits.pop(key, None)
        self._targets.pop(key, None)
        self._show()

    def action_keep(self) -> None:
        """Return the bike."""
        self.dismiss(Bike(self._bike_name, self._traits, self._targets))
