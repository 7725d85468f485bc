"""A handbook as one HTML page, as Markdown, and its pictures as SVG.

The template engine escapes every value; nothing is escaped by hand."""

from __future__ import annotations

from typing import Any

from diagnose.authoring.handbook.parts import Handbook, Matrix
from diagnose.cards.markup import template, tidy

_PACKAGE = "diagnose.authoring.handbook"


def html_page(handbook: Handbook) -> str:
    """One page that loads nothing and runs nothing."""
    return _render("handbook.html.jinja", handbook)


def markdown_page(handbook: Handbook, picture: str, plot: str = "", stem: str = "") -> str:
    """CommonMark with tables; `picture` is the name of the matrix's file beside it, `plot` that of
    the plot's where the handbook has one, and `stem` how the names of its drawings begin."""
    return tidy(_render("handbook.md.jinja", handbook, picture=picture, plot_file=plot, stem=stem))


def drawings(handbook: Handbook, stem: str) -> dict[str, str]:
    """The drawings as SVG files of their own, by the names that the Markdown has for them."""
    entries = (
        e for chapter in handbook.chapters for group in chapter.groups for e in group.entries
    )
    return {f"{stem}-{e.name}.svg": f"{e.drawing.svg}\n" for e in entries if e.drawing}


def matrix_picture(handbook: Handbook) -> str:
    """The matrix as an SVG file of its own."""
    return _render("matrix.svg.jinja", handbook, linked=False)


def plot_picture(handbook: Handbook) -> str:
    """The reliability plot as an SVG file of its own; empty where the handbook has none."""
    return _render("reliability.svg.jinja", handbook) if handbook.plot else ""


def _render(name: str, handbook: Handbook, **more: Any) -> str:
    return template(_PACKAGE, name).render(
        book=handbook,
        matrix=handbook.matrix,
        plot=handbook.plot,
        stacked=len(handbook.packs) > 1,
        grid=_grid(handbook.matrix),
        **more,
    )


def _grid(matrix: Matrix) -> list[list[int]]:
    """Steps of the scale by row and column, 0 where the cause does not give the complaint."""
    grid = [[0] * len(matrix.columns) for _ in matrix.rows]
    for cell in matrix.cells:
        grid[cell.row][cell.column] = cell.step
    return grid
