"""The job card of the case on the bench: made, copied, written to a file."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.cards.blocks import Audience, Card
from diagnose.cards.rendering import card_bytes
from tui.app.actions.kept import KeptActions
from tui.cases.card_files import ask_card_file
from tui.terminal.clock import day_of


class JobCardActions(KeptActions):
    """One card for the screen, the clipboard and the file."""

    def make_card(self, audience: Audience, show: Callable[[Card], None]) -> None:
        """Hand `show` the job card of the case on the bench."""
        bench = self.bench
        assert bench is not None and bench.current is not None
        assessment = bench.current.assessment

        def make() -> Card:
            # not needed before the first card, and dear to import
            from diagnose.cards.content import card_for  # noqa: PLC0415
            from diagnose.cards.facts import CardFacts  # noqa: PLC0415

            now = self.kept.now()
            kept = bench.on_paper(now)
            facts = CardFacts(bench.rules, kept, assessment, self.bike_of(kept), day_of(now))
            return card_for(audience, facts)

        self.in_background(make, show)

    def copy_card(self, card: Card) -> None:
        """Copy a card to the clipboard of the terminal, as Markdown."""
        self.copy_to_clipboard(card_bytes(card, "markdown", self.kept.now()).decode("utf-8"))
        self.notify("Copied. If the terminal does not take it, write it with w.")

    def write_card(self, card: Card) -> None:
        """Ask for a file and write a card to it."""
        kept = self.bench.kept if self.bench is not None else None
        number = f"-{kept.id}" if kept is not None else ""
        ask_card_file(self, "Write the job card to", f"job-card{number}", lambda: card)
