"""A card as Markdown and as HTML. Every value is escaped by the template engine, none by hand."""

from __future__ import annotations

import functools
import re
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from diagnose.cards.blocks import Card, Chart
from diagnose.cards.chart_drawing import TEXT, WIDTH, picture_of

_PACKAGE = "diagnose.cards"

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~&])")
_LEADING = re.compile(r"^([-+=]|\d+(?=[.)]))")


def markdown_card(card: Card) -> str:
    """The card as CommonMark with tables."""
    return tidy(template(_PACKAGE, "card.md.jinja").render(card=card))


def html_card(card: Card) -> str:
    """The card as one HTML page that loads nothing and runs nothing."""
    return template(_PACKAGE, "card.html.jinja").render(card=card, chart_svg=chart_svg)


def chart_svg(chart: Chart) -> Markup:
    """The chart as an SVG drawing, which loads nothing and runs nothing."""
    drawn = template(_PACKAGE, "chart.svg.jinja")
    return Markup(drawn.render(picture=picture_of(chart), width=WIDTH, text=TEXT))  # noqa: S704  # escaped by the template


def escape_markdown(value: Any) -> str:
    """`value` as Markdown that shows it as it is, in a paragraph, a list or a table cell."""
    text = _MARKDOWN.sub(r"\\\1", str(value))
    first = _LEADING.match(text)
    if first is None:
        return text
    mark = first.group(1)
    rest = text[first.end() :]
    return f"{mark}\\{rest}" if mark.isdigit() else f"\\{mark}{rest}"


def template(package: str, name: str) -> Template:
    """A template in the folder `templates` of a package; it escapes every value.

    Its name ends in `.md.jinja` for Markdown; any other is taken to be HTML or SVG.
    """
    return _environment(package, name.endswith(".md.jinja")).get_template(name)


def tidy(markdown: str) -> str:
    """Markdown without runs of empty lines, ended by one newline."""
    return re.sub(r"\n{3,}", "\n\n", markdown).strip() + "\n"


def _escaped(value: Any) -> Any:
    """What a macro has written is escaped already."""
    return value if isinstance(value, Markup) else escape_markdown(value)


@functools.cache
def _environment(package: str, is_markdown: bool) -> Environment:
    return Environment(
        loader=PackageLoader(package, "templates"),
        autoescape=not is_markdown,  # noqa: S701  # Markdown has its own escaping, in `finalize`
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_escaped if is_markdown else None,
    )
