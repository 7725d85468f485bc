"""Writing a card to a file that the person names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from diagnose.cards.blocks import Card
from diagnose.cards.rendering import card_bytes, kind_of
from diagnose.records.file_writing import write_bytes
from rules import extras
from tui.dialogs.file_prompt import ask_file
from tui.dialogs.prompt_screen import refusal
from tui.services.shell import Shell


async def ask_card_file(shell: Shell, title: str, stem: str, make: Callable[[], Card]) -> None:
    """Inside a flow: ask for a file, offering a name that begins with `stem`; `make` the card and
    write it there."""

    def write(path: Path) -> None:
        write_bytes(path, card_bytes(make(), kind_of(path), shell.shop.now))

    hint = "The ending says the kind: .pdf, .html or .md."
    name = f"{stem}.pdf" if extras.installed("pdf") else f"{stem}.html"
    await ask_file(shell, title, name, write, hint=hint, check=refusal(kind_of))
