"""A line drawing in a terminal: SVG shapes as braille dots, its labels as letters in their places.

Shapes cover those before them, as on paper. Light fills are paper, dark ones solid, others sparse
dots. What is marked `class="fine"` is left out: lines closer than two dots run together.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Any, Literal, NamedTuple

from PIL import Image, ImageChops, ImageDraw
from svgelements import SVG, Close, Color, Group, Line, Move, Path, Shape, Text

Tone = Literal["ink", "mark", "alarm"]
"""How a cell stands out: lines, what is measured or done, what must not be."""

_TONES: tuple[Tone, ...] = ("ink", "mark", "alarm")
_ACROSS, _DOWN = 2, 4
# the bit of a braille sign for each dot of a cell, by row and column
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800
_PAPER, _SPARSE = 240, 90
# where a curve is looked at, from its start to its end
_ALONG = [step / 10 for step in range(1, 11)]
_DASH = 2.0
# baselines of one label of several lines are at most so many letter sizes apart
_LEADING = 1.4

Points = list[tuple[float, float]]


class DotCell(NamedTuple):
    """A cell of the terminal: a letter, a braille sign or a space."""

    sign: str
    tone: Tone = "ink"


_EMPTY = DotCell(" ")


class _Label(NamedTuple):
    text: str
    row: int
    column: int
    tone: Tone


def draw_in_dots(svg: str, columns: int, rows: int) -> list[list[DotCell]]:
    """The drawing as large as fits, in rows of equally many cells.

    `svg` must have passed the checks of a pack's drawings.
    """
    box = _view_box(svg)
    scale = min(columns * _ACROSS / box[0], rows * _DOWN / box[1])
    wide, high = max(1, round(box[0] * scale)), max(1, round(box[1] * scale))
    paper = Image.new("L", (wide, high))
    parts = list(_parts(SVG.parse(io.StringIO(svg), width=wide, height=high)))
    for part in parts:
        if isinstance(part, Shape):
            _draw(paper, part, scale)
    cells = _cells(paper)
    for label in _placed([part for part in parts if isinstance(part, Text)], cells):
        _write(cells[label.row], label)
    return cells


def _view_box(svg: str) -> tuple[float, float]:
    box = SVG.parse(io.StringIO(svg)).viewbox
    return float(box.width), float(box.height)


def _parts(group: Any) -> Iterator[Any]:
    """Shapes and texts in the order they are drawn, without the fine ones."""
    for part in group:
        if "fine" in (part.values.get("class") or "").split():
            continue
        if isinstance(part, Group):
            yield from _parts(part)
        else:
            yield part


def _draw(paper: Image.Image, shape: Any, scale: float) -> None:
    outlines = list(_outlines(shape))
    pen = ImageDraw.Draw(paper)
    if _is_seen(shape.fill):
        shade = _shade(shape.fill)
        for outline in outlines:
            if len(outline) > 2:
                _fill(paper, outline, shade, _tone(shape.fill))
    if _is_seen(shape.stroke):
        value = 1 + _TONES.index(_tone(shape.stroke))
        width = max(1, round(shape.stroke_width * scale * 0.8))
        for outline in outlines:
            if shape.values.get("stroke-dasharray"):
                pen.point(list(_dashed(outline)), fill=value)
            elif width == 1:
                pen.line(outline, fill=value)
            else:
                pen.line(outline, fill=value, width=width, joint="curve")


def _outlines(shape: Any) -> Iterator[Points]:
    """The lines of a shape, curves in short steps."""
    outline: Points = []
    for part in Path(shape).segments():
        if isinstance(part, Move):
            if len(outline) > 1:
                yield outline
            outline = [(part.end.x, part.end.y)]
        elif part.start is not None and part.end is not None:
            is_straight = isinstance(part, Line | Close)
            places = [part.end] if is_straight else part.npoint(_ALONG)
            outline += [(float(place[0]), float(place[1])) for place in places]
    if len(outline) > 1:
        yield outline


def _fill(paper: Image.Image, outline: Points, shade: float, tone: Tone) -> None:
    inside = Image.new("1", paper.size)
    ImageDraw.Draw(inside).polygon(outline, fill=1)
    paper.paste(0 if shade > _SPARSE else 1 + _TONES.index(tone), mask=inside)
    if _SPARSE < shade < _PAPER:
        wide, high = paper.size
        sparse = Image.new("1", paper.size)
        spots = [(x, y) for y in range(0, high, 2) for x in range(y % 4, wide, 4)]
        ImageDraw.Draw(sparse).point(spots, fill=1)
        paper.paste(1, mask=ImageChops.logical_and(inside, sparse))


def _dashed(outline: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    gone = 0.0
    for (x, y), (to_x, to_y) in pairwise(outline):
        steps = max(1, round(hypot(to_x - x, to_y - y)))
        for step in range(steps):
            if int((gone + step) // _DASH) % 2 == 0:
                yield x + (to_x - x) * step / steps, y + (to_y - y) * step / steps
        gone += steps


def _is_seen(colour: Any) -> bool:
    return colour is not None and colour.value is not None and colour.alpha > 0


def _shade(colour: Color) -> float:
    """From 0, black, to 255, white."""
    return float(0.3 * colour.red + 0.6 * colour.green + 0.1 * colour.blue)


def _tone(colour: Color) -> Tone:
    if not _is_seen(colour) or max(colour.red, colour.green, colour.blue) - min(
        colour.red, colour.green, colour.blue
    ) < 60:  # fmt: skip
        return "ink"
    return "alarm" if colour.red > colour.blue else "mark"


def _cells(paper: Image.Image) -> list[list[DotCell]]:
    # whole cells, so that no dot lies outside
    wide, high = -(-paper.width // _ACROSS), -(-paper.height // _DOWN)
    whole = Image.new("L", (wide * _ACROSS, high * _DOWN))
    whole.paste(paper)
    dots = whole.tobytes()
    return [
        [
            _cell(dots, (row * _DOWN * wide + column) * _ACROSS, whole.width)
            for column in range(wide)
        ]
        for row in range(high)
    ]


def _cell(dots: bytes, at: int, width: int) -> DotCell:
    bits, most = 0, 0
    for down, (left, right) in enumerate(_BITS):
        one, other = dots[at + down * width], dots[at + down * width + 1]
        if one or other:
            bits |= (left if one else 0) | (right if other else 0)
            most = max(most, one, other)
    return DotCell(chr(_BLANK + bits), _TONES[most - 1]) if bits else _EMPTY


def _placed(texts: Sequence[Any], cells: Sequence[Sequence[DotCell]]) -> Iterator[_Label]:
    """Each label in the row of cells nearest to its middle that is free there; lines written below
    one another stay together."""
    taken: list[_Label] = []
    width = len(cells[0])
    above = (0.0, 0.0)
    for text in texts:
        words = " ".join(str(text.text or "").split())[:width]
        if not words:
            continue
        place = text.transform.point_in_matrix_space((text.x, text.y))
        size = float(text.font_size or 12) * abs(text.transform.d)
        before = {"middle": len(words) / 2, "end": len(words)}.get(text.anchor, 0)
        column = min(max(0, round(place.x / _ACROSS - before)), width - len(words))
        nearest = int((place.y - size * 0.35) // _DOWN)
        if taken and place.x == above[0] and 0 < place.y - above[1] < _LEADING * size:
            nearest = taken[-1].row + 1
        above = (place.x, place.y)
        for row in (nearest, nearest + 1, nearest - 1):
            label = _Label(words, min(max(0, row), len(cells) - 1), column, _tone(text.fill))
            if not any(_meet(label, other) for other in taken):
                taken.append(label)
                break
    yield from taken


def _meet(one: _Label, other: _Label) -> bool:
    ends = one.column + len(one.text), other.column + len(other.text)
    return one.row == other.row and one.column <= ends[1] and other.column <= ends[0]


def _write(row: list[DotCell], label: _Label) -> None:
    """Put a label into its row, with an empty cell on either side where lines would touch it."""
    end = label.column + len(label.text)
    for beside in (label.column - 1, end):
        if 0 <= beside < len(row) and not row[beside].sign.isalnum():
            row[beside] = _EMPTY
    row[label.column : end] = [DotCell(sign, label.tone) for sign in label.text]
