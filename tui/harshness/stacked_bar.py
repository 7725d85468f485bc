"""A stacked bar of what makes a ride harsher, with its band, as signs and their colours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.harshness.shares import GROUPS, EndAnswer, Estimate
from tui.terminal.glyphs import Glyphs


class _Kind(NamedTuple):
    mark: str
    name: str
    colour: str


_KINDS: Mapping[str, _Kind] = dict(
    zip(
        GROUPS,
        (
            _Kind("T", "tyre", "$primary"),
            _Kind("D", "damping", "$warning"),
            _Kind("F", "friction", "$success"),
            _Kind("A", "air", "$error"),
            _Kind("O", "oil", "$secondary"),
            _Kind("S", "spring", "$accent"),
        ),
        strict=True,
    )
)
# a longest bar stands for no less, so that what is hardly felt looks small
_LEAST_SPAN = 0.2
# with fewer eighths of a cell a part has no room for its mark
_LEAST_MARKED = 4
_NOT_SURE = "▓"

BAR = (
    "In a bar, solid up to the lower end of its range, darker shade to the best guess, lighter "
    "shade to the upper end (with ASCII alone: capitals, small letters, =). A part narrower than "
    "half a letter has no mark; what softens has no part."
)


@dataclass(frozen=True, slots=True)
class _Part:
    """Part of a bar, its ends in eighths of a cell; no kind: not told apart."""

    kind: _Kind | None
    start: int
    end: int

    def within(self, cell: int) -> int:
        """How many eighths of a cell it takes."""
        return max(0, min(self.end, 8 * cell + 8) - max(self.start, 8 * cell))


def legend(answer: EndAnswer) -> list[str]:
    """Mark and name of what has a part in any bar."""
    divided = [answer.divided(ride) or {} for ride in answer.survey.names]
    shown = [name for name in _KINDS if any(shares.get(name, 0.0) > 0.0 for shares in divided)]
    return [f"{_KINDS[name].mark} {_KINDS[name].name}" for name in shown]


def longest(answer: EndAnswer) -> float:
    """What the longest bar stands for, as a share of the harshness as it should be."""
    return max(_LEAST_SPAN, *(answer.worse(ride).high for ride in answer.survey.names))


def stacked_bar(
    extra: Estimate,
    shares: Mapping[str, float] | None,
    span: float,
    width: int,
    glyphs: Glyphs,
) -> list[tuple[str, str]]:
    """A bar for `extra`, sign by sign with their styles, where `span` would fill `width` cells;
    divided by `shares`, which add up to 1, or whole where there are none."""
    low, middle, high = (
        round(min(max(size / span, 0.0), 1.0) * 8 * width)
        for size in (extra.low, extra.middle, extra.high)
    )
    parts = list(_parts(shares, middle))
    marked = {cell: part for part in parts if (cell := _mark_cell(part)) is not None}
    cells = [_cell(cell, parts, marked.get(cell), low, glyphs) for cell in range(-(-middle // 8))]
    if not glyphs.parts and middle < 8 * len(cells) - 4:
        cells = cells[:-1]
    more = round(high / 8) - len(cells)
    return [*cells, (glyphs.shade * max(0, more), "$text-muted")]


def _parts(shares: Mapping[str, float] | None, whole: int) -> Iterator[_Part]:
    if not shares:
        yield _Part(None, 0, whole)
        return
    start, sofar = 0, 0.0
    for name, share in shares.items():
        sofar += share
        end = round(min(sofar, 1.0) * whole)
        if end > start:
            yield _Part(_KINDS[name], start, end)
        start = end


def _mark_cell(part: _Part) -> int | None:
    """Where the mark of a part stands: its first whole cell, else where it has most room."""
    if part.kind is None or part.end == part.start:
        return None
    cells = range(part.start // 8, -(-part.end // 8))
    best = max(cells, key=lambda cell: (part.within(cell), -cell))
    return best if part.within(best) >= _LEAST_MARKED else None


def _cell(
    cell: int, parts: Sequence[_Part], marked: _Part | None, low: int, glyphs: Glyphs
) -> tuple[str, str]:
    here = [part for part in parts if part.within(cell)]
    is_sure = 8 * cell + 4 <= low
    if not glyphs.parts:
        kind = max(here, key=lambda part: part.within(cell)).kind
        sign = glyphs.full if kind is None else kind.mark
        return (sign if is_sure else sign.lower()), ""
    if marked is not None and marked.kind is not None:
        return marked.kind.mark, f"bold $background on {marked.kind.colour}"
    first = here[0]
    colour = "$text-muted" if first.kind is None else first.kind.colour
    eighths = first.within(cell)
    if eighths == 8:
        return (glyphs.full if is_sure else _NOT_SURE), colour
    after = max(here[1:], key=lambda part: part.within(cell), default=None)
    beyond = "" if after is None or after.kind is None else f" on {after.kind.colour}"
    return glyphs.parts[eighths], colour + beyond
