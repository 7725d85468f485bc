"""Writing a card to a file that the person names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from diagnose.cards.blocks import Card
from diagnose.cards.rendering import Kind, card_bytes, kind_of
from rules import extras
from tui.dialogs.device_files import save_file
from tui.services.shell import Shell


async def ask_card_file(shell: Shell, title: str, stem: str, make: Callable[[], Card]) -> None:
    """Inside a flow: ask for a file, offering a name that begins with `stem`; `make` the card and
    write it there."""

    def kind(name: str) -> Kind:
        return kind_of(Path(name))

    def content(name: str) -> bytes:
        return card_bytes(make(), kind(name), shell.shop.now)

    hint = "The ending says the kind: .pdf, .html or .md."
    name = f"{stem}.pdf" if extras.installed("pdf") else f"{stem}.html"
    await save_file(shell, title, name, content, hint=hint, check=kind)
