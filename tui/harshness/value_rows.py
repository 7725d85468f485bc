"""A list of values: as measured, as they should be, and what each makes of the extra harshness."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from diagnose.harshness.shares import Part
from diagnose.harshness.values import VALUES, Factor
from tui.harshness.harsh_lines import share_words
from tui.harshness.value_sheet import Sheet, label
from tui.terminal.glyphs import Glyphs
from tui.widgets.row_list import RowList

_LABEL, _MEASURED, _TARGET, _SHARE = 23, 13, 13, 21
_LEAST_BAR, _MOST_BAR = 6, 40


class ValueList(RowList):
    """A list whose Enter is named after what it does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter", "select", "Type", tooltip="Type the value marked", id="harsh.type",
            key_display="Enter",
        ),
    ]  # fmt: skip


def heading(*, rough: bool) -> str:
    """What stands above the rows."""
    share = "share, rough yet" if rough else "share of it, range"
    return f"{'':<{_LABEL}}{'as measured':<{_MEASURED}}{'should be':<{_TARGET}}{share}"


def rows(
    sheet: Sheet, shares: dict[Factor, Part] | None, glyphs: Glyphs, width: int
) -> list[Content]:
    """A row for every value of the end looked at."""
    return [_row(sheet, name, shares or {}, glyphs, width) for name in sheet.names]


def _row(
    sheet: Sheet, name: str, shares: dict[Factor, Part], glyphs: Glyphs, width: int
) -> Content:
    measured = sheet.measured(name)
    told = "not measured" if measured is None else str(measured)
    should = f"{sheet.target(name)}{' *' if sheet.is_thumb(name) else ''}"
    row = Content.assemble(
        f"{label(name):<{_LABEL}}",
        (f"{told:<{_MEASURED}}", "$text-muted" if measured is None else "bold"),
        f"{should:<{_TARGET}}",
    )
    factor = VALUES[name].factor
    part = None if factor is None else shares.get(factor)
    if part is None or measured is None:
        return row
    for lead, led in ((Factor.SPRING, "-sag"), (Factor.FRICTION, "-gap")):
        if factor is lead and not name.endswith(led) and _measured(sheet, led):
            return Content.assemble(row, f"with the {led[1:]}")
    if part.share is None:
        return Content.assemble(row, share_words(part))
    room = min(_MOST_BAR, width - _LABEL - _MEASURED - _TARGET - _SHARE)
    share = part.share
    least, most, rest = glyphs.range_bar(share.low, share.high, max(_LEAST_BAR, room))
    return Content.assemble(row, f"{share_words(part):<{_SHARE}}", least, most, (rest, "dim"))


def _measured(sheet: Sheet, ending: str) -> bool:
    return any(n.endswith(ending) and sheet.measured(n) for n in sheet.names)
