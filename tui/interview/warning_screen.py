"""Do not ride: fills the screen until the person says that they have read it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from tui.dialogs.base import CardDialog
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter

# no answer has this key, so that keys typed ahead cannot acknowledge what nobody has read
_KEY = "!"


class WarningScreen(CardDialog[None]):
    """Stays until acknowledged. `dropped` keys had been typed ahead and were not used."""

    CSS_PATH = "warning_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "exclamation_mark", "acknowledge", "I have read it",
            tooltip="Acknowledge the warning", key_display=_KEY, id="acknowledge",
        ),
        # Escape closes other dialogs, not this one
        Binding("escape", "stay", "Stay", show=False, system=True),
    ]  # fmt: skip

    def __init__(self, reasons: Sequence[str], dropped: int = 0) -> None:
        super().__init__()
        self._reasons = reasons
        self._dropped = dropped

    def compose(self) -> ComposeResult:
        """The warning, its reasons, the way out."""
        with Vertical(id="sheet"):
            yield Static("DO NOT RIDE", id="stop")
            with VerticalScroll(id="reasons", can_focus=False):
                for reason in self._reasons:
                    yield Static(reason, classes="reason", markup=False)
                yield Static(
                    "The bike stays where it is until this is put right and looked at again. "
                    "The warning stays on the job card until then.",
                    classes="rest",
                )
                if self._dropped:
                    yield Static(
                        f"Keys typed before this came up were not used: {self._dropped}.",
                        classes="rest",
                    )
            yield KeyButton(_KEY, "I have read it")
        yield KeyFooter()

    def on_key_button_pressed(self) -> None:
        """The button was touched."""
        self.action_acknowledge()

    def action_leave(self) -> None:
        """Do nothing: the only way on is to acknowledge."""

    def action_stay(self) -> None:
        """Escape does nothing here."""

    def action_acknowledge(self) -> None:
        """Close the warning as read."""
        self.dismiss(None)
