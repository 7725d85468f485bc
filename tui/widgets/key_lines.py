"""How the keys at the foot of a screen are laid out: side by side, and on below where they must."""

from __future__ import annotations

from textual.geometry import Size
from textual.layout import ArrangeResult
from textual.layouts.horizontal import HorizontalLayout
from textual.widget import Widget


class KeyLines(HorizontalLayout):
    """Lines of as many keys as fit; keys are a line high."""

    name = "key-lines"

    def arrange(
        self, parent: Widget, children: list[Widget], size: Size, greedy: bool = True
    ) -> ArrangeResult:
        """Where each key goes."""
        placed = []
        begun, line = 0, 0
        for place in super().arrange(parent, children, size, greedy):
            if begun < place.region.x and place.region.right - begun > size.width:
                begun, line = place.region.x, line + 1
            placed.append(place._replace(region=place.region.translate((-begun, line))))
        return placed
