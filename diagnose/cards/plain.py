"""A card as lines of plain text, for a screen."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.cards.blocks import Card, Section


def plain_lines(card: Card) -> Iterator[str]:
    """The whole card, unwrapped; an item begins with a dash, a heading stands in capitals."""
    yield card.title
    for label, value in card.facts:
        yield f"- {label}: {value}"
    for section in card.sections:
        yield ""
        yield section.heading.upper()
        yield from _section(section)
    yield ""
    yield card.foot


def _section(section: Section) -> Iterator[str]:
    yield from section.sentences
    mark = "- CAUTION: " if section.warning else "- "
    yield from (mark + item for item in section.items)
    for first, *rest in section.table:
        cells = zip(section.head[1:], rest, strict=True)
        yield f"- {first}: " + ", ".join(f"{head.lower()} {cell}" for head, cell in cells)
    yield from (f"- {one.title}: {one.description}" for one in section.drawings)
