"""A decimal comma on the screens."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from tui.terminal.decimals import with_comma


class CommaFilter(LineFilter):
    """Shows a decimal comma in every quantity on the screens."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The segments with a decimal comma."""
        return [
            segment
            if segment.control or "." not in segment.text
            else Segment(with_comma(segment.text), segment.style)
            for segment in segments
        ]
