"""The keys of the screen below, taken from its bindings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import ActiveBinding, Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from tui.dialogs.base import CardDialog
from tui.widgets.key_footer import KeyFooter

_WORDS = """
Percentages are chances, worked out from the answers by the rule base; none is ever certain.
What speaks for or against a cause says how many times likelier or less likely it makes it. What
rests on a rule of thumb says so; the owner's manual goes before it.
Where work can hurt somebody the caution stands before the step. Do-not-ride goes before everything.
"""


class HelpScreen(CardDialog[None]):
    """Lists the keys of a screen and what they do, then what the figures mean."""

    CSS_PATH = "help_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#keys"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("h,f1", "leave", "Back", show=False)]

    def __init__(self, bindings: Mapping[str, ActiveBinding]) -> None:
        super().__init__()
        self._active = bindings

    def compose(self) -> ComposeResult:
        """Keys, then what the figures mean."""
        with VerticalScroll(id="keys"):
            yield Static("Keys on this screen", classes="title")
            yield Static("\n".join(self._lines()), markup=False)
            yield Static("What the figures mean", classes="title")
            yield Static(_WORDS.strip().replace("\n", " "), markup=False)
        yield KeyFooter()

    def _lines(self) -> Iterator[str]:
        rows: dict[str, list[str]] = {}
        # those with a tooltip first: they are the screen's own
        ordered = sorted(self._active.values(), key=lambda active: not active.binding.tooltip)
        for active in ordered:
            binding = active.binding
            words = binding.tooltip or binding.description
            if words and active.enabled:
                shown = self.app.get_key_display(binding)
                keys = rows.setdefault(words, [])
                if shown not in keys:
                    keys.append(shown)
        for words, keys in rows.items():
            yield f"{' '.join(keys):<22} {words}"
