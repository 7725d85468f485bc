"""The matrix of causes and complaints, as data."""

from __future__ import annotations

from diagnose.authoring.handbook.index import Index, anchor
from diagnose.authoring.handbook.parts import Cell, Matrix
from diagnose.cards.blocks import clean


def matrix_of(index: Index) -> Matrix:
    """Causes in the order of the pack (so by file and group), complaints as rows of places."""
    rules = index.rules
    scale = tuple(rules.scale.words)
    nodes = [node for node in rules.nodes.values() if node.kind == "complaint"]
    column = {node.id: number for number, node in enumerate(nodes)}
    row = {cause: number for number, cause in enumerate(rules.causes)}
    cells = []
    for link in rules.links:
        if link.node in column:
            word = link.words["yes"]
            cells.append(
                Cell(
                    row[link.cause],
                    column[link.node],
                    scale.index(word) + 1,
                    clean(
                        f"{rules.causes[link.cause].title}, {rules.nodes[link.node].title}: {word}"
                    ),
                )
            )
    return Matrix(
        tuple((clean(cause.title), anchor("causes", key)) for key, cause in rules.causes.items()),
        tuple(
            (clean(node.title), anchor("complaints", node.id.partition("/")[0])) for node in nodes
        ),
        tuple(sorted(cells, key=lambda cell: (cell.row, cell.column))),
        tuple(clean(word) for word in scale),
    )
