"""A handbook as one HTML page, as Markdown, and its matrix as SVG.

The template engine escapes every value; nothing is escaped by hand."""

from __future__ import annotations

import functools
import re
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from diagnose.authoring.handbook.parts import Handbook, Matrix
from diagnose.cards.markup import escape_markdown


def html_page(handbook: Handbook) -> str:
    """One page that loads nothing and runs nothing."""
    return _render("html", "handbook.html.jinja", handbook)


def markdown_page(handbook: Handbook, picture: str) -> str:
    """CommonMark with tables; `picture` is the name of the matrix's file beside it."""
    text = _render("markdown", "handbook.md.jinja", handbook, picture=picture)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def matrix_picture(handbook: Handbook) -> str:
    """The matrix as an SVG file of its own."""
    return _render("html", "matrix.svg.jinja", handbook, linked=False)


def _render(kind: str, template: str, handbook: Handbook, **more: Any) -> str:
    found = _environment(kind).get_template(template)
    return found.render(
        book=handbook,
        matrix=handbook.matrix,
        stacked=len(handbook.packs) > 1,
        grid=_grid(handbook.matrix),
        **more,
    )


def _markdown(value: Any) -> Any:
    """What a macro has written is escaped already."""
    return value if isinstance(value, Markup) else escape_markdown(value)


def _grid(matrix: Matrix) -> list[list[int]]:
    """Steps of the scale by row and column, 0 where the cause does not give the complaint."""
    grid = [[0] * len(matrix.columns) for _ in matrix.rows]
    for cell in matrix.cells:
        grid[cell.row][cell.column] = cell.step
    return grid


@functools.cache
def _environment(kind: str) -> Environment:
    return Environment(
        loader=PackageLoader("diagnose.authoring.handbook", "templates"),
        autoescape=kind == "html",  # noqa: S701  # Markdown has its own escaping, in `finalize`
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_markdown if kind == "markdown" else None,
    )
