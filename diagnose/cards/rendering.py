"""A card as the bytes of a file, of the kind its name says."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Literal

from diagnose.cards.blocks import Card
from rules import extras
from rules.problems import BadInput

Kind = Literal["markdown", "html", "pdf"]
_ENDINGS: dict[str, Kind] = {".md": "markdown", ".html": "html", ".htm": "html", ".pdf": "pdf"}


def kind_of(path: Path) -> Kind:
    """What the ending of a file's name asks for.

    Raises `BadInput` for an ending that means nothing, and where PDF is not installed.
    """
    kind = _ENDINGS.get(path.suffix.lower())
    if kind is None:
        raise BadInput(f"{path}: end the name in .md, .html or .pdf")
    if kind == "pdf":
        extras.require("pdf")
    return kind


def card_bytes(card: Card, kind: Kind, made_at: datetime) -> bytes:
    """The card in that kind of file. Raises `BadInput` where PDF is not installed."""
    # each is slow to import, and only one is wanted
    if kind == "pdf":
        extras.require("pdf")
        from diagnose.cards.pdf import pdf_card  # noqa: PLC0415

        return pdf_card(card, made_at)
    from diagnose.cards.markup import html_card, markdown_card  # noqa: PLC0415

    return (markdown_card(card) if kind == "markdown" else html_card(card)).encode("utf-8")
