"""The step itself: what to do, large and plain, cautions before everything else."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.wording import StepText


class StepCard(VerticalScroll, can_focus=False):
    """Shows the words of a step. Scrolls when there are more than fit; the last line says so."""

    DEFAULT_CSS = """
    StepCard { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    StepCard > Static { width: 1fr; height: auto; }
    StepCard > .label { color: $text-muted; }
    StepCard > .cautions { color: $warning; text-style: bold; margin: 1 0 0 0; }
    StepCard > .heading { text-style: bold; margin: 1 0; }
    StepCard > .tools { color: $text-muted; }
    StepCard > .how { margin: 0 0 1 0; }
    StepCard > .note { color: $text-muted; }
    .-roomy StepCard { padding: 1 3; }
    .-roomy StepCard > .heading { margin: 1 0 2 0; }
    """

    def compose(self) -> ComposeResult:
        """The parts, in the order they are read."""
        for part in ("label", "cautions", "heading", "tools", "how", "note"):
            yield Static(markup=False, classes=part)

    def show(self, label: str, words: StepText) -> None:
        """Show a step from its beginning."""
        how = [f"{number}. {line}" for number, line in enumerate(words.how, 1)]
        self._put("label", label)
        self._put("cautions", "\n".join(f"CAUTION: {text}" for text in words.cautions))
        self._put("heading", words.heading)
        self._put("tools", f"Tools: {', '.join(words.tools)}" if words.tools else "")
        self._put("how", "\n".join(how))
        self._put("note", words.note)
        self.scroll_home(animate=False)

    def _put(self, part: str, text: str) -> None:
        static = self.query_one(f".{part}", Static)
        static.update(text)
        static.display = bool(text)
