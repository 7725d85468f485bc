"""Signs for terminals with and without Unicode, and what is shown instead where one is missing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rich.cells import get_character_cell_size
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter


@dataclass(frozen=True, slots=True)
class Glyphs:
    """What bars and marks are drawn with; `parts` are a cell filled by eighths, `steps` heights."""

    full: str
    empty: str
    arrow: str
    dot: str
    shade: str
    parts: str = ""
    steps: str = ""

    def part_bar(self, share: float, width: int) -> str:
        """A bar of at most `width` cells, to an eighth of a cell where there are signs for that.
        Anything above zero shows."""
        eighths = min(max(round(share * width * 8), 1 if share > 0 else 0), width * 8)
        if not self.parts:
            return self.full * max(round(eighths / 8), 1 if share > 0 else 0)
        return self.full * (eighths // 8) + self.parts[eighths % 8].strip()

    def trail(self, shares: Sequence[float], most: float) -> str:
        """How something moved, a sign for each of `shares`, the highest for `most`; empty where
        there are no signs for that."""
        if not self.steps:
            return ""
        top = len(self.steps) - 1
        return "".join(self.steps[round(min(x / max(most, 1e-9), 1.0) * top)] for x in shares)

    def bar(self, share: float, width: int) -> tuple[str, str]:
        """The filled and the empty part of a bar of `width` cells.

        Anything above zero shows, and anything below one leaves a gap.
        """
        filled = round(share * width)
        if 0 < share < 1:
            filled = min(max(filled, 1), width - 1)
        return self.full * filled, self.empty * (width - filled)

    def range_bar(self, low: float, high: float, width: int) -> tuple[str, str, str]:
        """A bar of `width` cells in three parts: to `low`, from there to `high`, and the rest."""
        least = round(min(max(low, 0.0), 1.0) * width)
        most = max(least, round(min(max(high, 0.0), 1.0) * width))
        rest = self.empty * (width - most)
        return self.full * least, self.shade * (most - least), rest


UNICODE = Glyphs("█", "░", "→", "·", "▒", " ▏▎▍▌▋▊▉", "▁▂▃▄▅▆▇█")
ASCII = Glyphs("#", "-", "->", "-", "=")

_SPELT = str.maketrans(
    {
        "·": ".", "×": "x", "°": "'", "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"',
        "…": "~", "→": ">", "←": "<", "↑": "^", "↓": "v", "•": "*", "³": "3", "²": "2", "½": "h",
        "±": "~", "≤": "<", "≥": ">", "│": "|", "┃": "|", "▌": "|", "▐": "|", "▎": "|", "▊": "|",
        "─": "-", "━": "-", "╭": "+", "╮": "+", "╰": "+", "╯": "+", "┏": "+", "┓": "+", "┗": "+",
        "┛": "+", "┌": "+", "┐": "+", "└": "+", "┘": "+",
        "▔": " ", "▁": " ", "▂": " ", "▃": " ", "▄": " ", "▅": " ", "▆": " ",
        "▇": " ", "█": "#", "░": "-", "▒": "-", "▓": "#", "⭘": "o", "☰": "=", "❯": ">",
        "🔎": "? ", "✓": "+",
    }
)  # fmt: skip


def spelt_in_ascii(text: str) -> str:
    """`text` with every other sign replaced by ASCII of the same width."""
    if text.isascii():
        return text
    known = text.translate(_SPELT)
    return "".join(c if c.isascii() else "?" * get_character_cell_size(c) for c in known)


class AsciiFilter(LineFilter):
    """Lets nothing but ASCII out to the terminal."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The segments spelt in ASCII."""
        return [
            segment
            if segment.control or segment.text.isascii()
            else Segment(spelt_in_ascii(segment.text), segment.style)
            for segment in segments
        ]


def knows_unicode(environment: Mapping[str, str]) -> bool:
    """Whether the locale variables ask for UTF-8.

    Python itself sets LC_CTYPE to C.UTF-8 when it starts in the C locale, so that value alone says
    nothing about the terminal.
    """
    if environment.get("LC_ALL"):
        locale = environment["LC_ALL"]
    elif environment.get("LC_CTYPE") and environment["LC_CTYPE"] != "C.UTF-8":
        locale = environment["LC_CTYPE"]
    else:
        locale = environment.get("LANG", "")
    return "utf" in locale.lower()
