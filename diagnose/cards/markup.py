"""A card as Markdown and as HTML. Every value is escaped by the template engine, none by hand."""

from __future__ import annotations

import functools
import re
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from diagnose.cards.blocks import Card

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~&])")
_LEADING = re.compile(r"^([-+=]|\d+(?=[.)]))")


def markdown_card(card: Card) -> str:
    """The card as CommonMark with tables."""
    text = _environment("markdown").get_template("card.md.jinja").render(card=card)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def html_card(card: Card) -> str:
    """The card as one HTML page that loads nothing and runs nothing."""
    return _environment("html").get_template("card.html.jinja").render(card=card)


def escape_markdown(value: Any) -> str:
    """`value` as Markdown that shows it as it is, in a paragraph, a list or a table cell."""
    text = _MARKDOWN.sub(r"\\\1", str(value))
    first = _LEADING.match(text)
    if first is None:
        return text
    mark = first.group(1)
    rest = text[first.end() :]
    return f"{mark}\\{rest}" if mark.isdigit() else f"\\{mark}{rest}"


@functools.cache
def _environment(kind: str) -> Environment:
    return Environment(
        loader=PackageLoader("diagnose.cards", "templates"),
        autoescape=kind == "html",  # noqa: S701  # Markdown has its own escaping, in `finalize`
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=escape_markdown if kind == "markdown" else None,
    )
