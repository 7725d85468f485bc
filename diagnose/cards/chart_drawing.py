"""A chart of a case as plain shapes, for a page of any kind. Lengths are in units of a width of
`WIDTH`; y grows downwards."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.cards.blocks import Chart, ChartedCause, ChartedFigure
from diagnose.words.chances import percent

WIDTH = 640
TEXT = 12
"""The size of its letters."""
_LABELS = 215  # where the titles end
_COLUMNS = 355  # how wide the bars are together
_ROW = 26
_BAR_HEIGHT = 20
_LETTERS = 33  # of a title in one line

Ink = Literal["strong", "plain", "pale", "good"]


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle, its corner at (`x`, `y`)."""

    x: float
    y: float
    width: float
    height: float
    ink: Ink


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    x: float
    y: float
    to_x: float
    to_y: float
    ink: Ink
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A circle, filled or only its rim."""

    x: float
    y: float
    radius: float
    ink: Ink
    filled: bool = True


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text on the base line `y`, which begins, ends or has its middle at `x`."""

    x: float
    y: float
    text: str
    at: Literal["start", "middle", "end"] = "start"
    bold: bool = False


Shape = Box | Stroke | Dot | Words


@dataclass(frozen=True, slots=True)
class Sketch:
    """Shapes, as wide as `WIDTH`."""

    height: float
    shapes: tuple[Shape, ...]


def picture_of(chart: Chart) -> Sketch:
    """The chart: causes over the case, then what was found and set, then the proof."""
    shapes: list[Shape] = []
    top = 4.0
    if chart.causes:
        shapes += _causes(chart, top)
        top += _ROW * len(chart.causes) + (2 * TEXT + 10)
    for figure in chart.figures:
        shapes += _figure(figure, top)
        top += 40
    top += 6 if chart.figures else 0
    for title, report in chart.proof:
        shapes += _proof(title, report, top)
        top += 24
    return Sketch(top + 4, tuple(shapes))


def _title(text: str, top: float, *, bold: bool) -> Iterator[Shape]:
    """A title in as many lines as it takes, ending where the bars begin."""
    lines = textwrap.wrap(text, _LETTERS) or [""]
    first = top + _ROW / 2 + TEXT / 3 - (len(lines) - 1) * TEXT / 2
    for number, line in enumerate(lines):
        yield Words(_LABELS - 8, first + number * TEXT, line, "end", bold)


def _causes(chart: Chart, top: float) -> Iterator[Shape]:
    step = _COLUMNS / max(len(chart.moments), 1)
    base = top + _ROW * len(chart.causes)
    for number in range(len(chart.moments)):
        middle = _LABELS + (number + 0.5) * step
        mark = "work" if number in chart.work else "ride" if number in chart.rides else ""
        if mark:
            yield Stroke(middle - step / 2, top, middle - step / 2, base, "plain", dashed=True)
        yield Words(middle, base + TEXT + 3, str(number + 1), "middle", bool(mark))
        yield Words(middle, base + 2 * TEXT + 3, mark, "middle", bold=True)
    for row, cause in enumerate(chart.causes):
        yield from _cause(cause, top + row * _ROW, step)


def _cause(cause: ChartedCause, top: float, step: float) -> Iterator[Shape]:
    yield from _title(cause.title, top, bold=cause.put_right)
    floor = top + _ROW - 2
    yield Stroke(_LABELS, floor, _LABELS + _COLUMNS, floor, "pale")
    for number, share in enumerate(cause.shares):
        height = max(share * _BAR_HEIGHT, 0.6)
        x = _LABELS + (number + 0.15) * step
        ink: Ink = "strong" if cause.put_right else "plain"
        yield Box(x, floor - height, step * 0.7, height, ink)
    yield Words(WIDTH - 2, floor - 4, percent(cause.shares[-1]), "end", cause.put_right)


def _figure(figure: ChartedFigure, top: float) -> Iterator[Shape]:
    """Found and set on one scale, which begins at nought."""
    yield from _title(figure.title, top + 2, bold=False)
    y, most = top + 24, max(*map(abs, figure.values), 1e-9)
    low = min(0.0, *figure.values)
    span = (_COLUMNS - 60) / (most - low)
    found, set_to = (_LABELS + 20 + (value - low) * span for value in figure.values)
    yield Stroke(_LABELS, y, _LABELS + _COLUMNS, y, "pale")
    yield Stroke(found, y, set_to, y, "strong")
    yield Dot(found, y, 4.5, "strong", filled=False)
    yield Dot(set_to, y, 4.5, "strong")
    if abs(found - set_to) < 110:
        told = f"found {figure.found}, set {figure.set_to}"
        yield Words((found + set_to) / 2, y - 9, told, "middle")
        return
    yield Words(found, y - 9, f"found {figure.found}", "middle")
    yield Words(set_to, y - 9, f"set {figure.set_to}", "middle", bold=True)


def _proof(title: str, report: str, top: float) -> Iterator[Shape]:
    y = top + 12
    yield Words(_LABELS - 8, y + TEXT / 3, title, "end")
    yield Dot(_LABELS + 8, y, 5, "good" if report == "gone" else "plain", filled=report == "gone")
    told = f"on the last ride: {report}" if report else "no ride has told yet"
    yield Words(_LABELS + 22, y + TEXT / 3, told, "start", report == "gone")
