"""A list of values: as measured, as they should be, and what each makes of the extra harshness."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from diagnose.harshness.said import whole_percent
from diagnose.harshness.shares import Part
from diagnose.harshness.values import VALUES, Factor
from tui.harshness.harsh_lines import share_words
from tui.harshness.value_sheet import Sheet, label
from tui.terminal.glyphs import Glyphs
from tui.widgets.row_list import RowList

_LABEL, _MEASURED, _TARGET, _SHARE = 23, 13, 13, 21
_LEAST_BAR, _MOST_BAR = 6, 40
# where that is too wide: no bar, and shorter words
_SLIM_LABEL, _SLIM_MEASURED = 18, 11
_SLIM_BELOW = _LABEL + _MEASURED + _TARGET + _SHARE
_NOT_READ = "-"
TRIED = "?"
"""Stands at a reading that nobody took: it is tried, or it was told."""
_SLIM_WORDS = {"-speed compression": "-speed compr.", "Lower clamp torque": "Clamp torque"}


class ValueList(RowList):
    """A list whose Enter is named after what it does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter", "select", "Type", tooltip="Type the value marked", id="harsh.type",
            key_display="Enter",
        ),
    ]  # fmt: skip


def heading(width: int, *, rough: bool, shares: dict[Factor, Part] | None) -> str:
    """What stands above the rows; nothing over the last column while it is empty."""
    if width < _SLIM_BELOW:
        share = "" if not shares else "share, rough" if rough else "share, range"
        return f"{'':<{_SLIM_LABEL}}{'measured':<{_SLIM_MEASURED}}{'should be':<{_TARGET}}{share}"
    share = "" if not shares else "share, rough yet" if rough else "share of it, range"
    return f"{'':<{_LABEL}}{'as measured':<{_MEASURED}}{'should be':<{_TARGET}}{share}"


def rows(
    sheet: Sheet,
    shares: dict[Factor, Part] | None,
    glyphs: Glyphs,
    width: int,
    *,
    marks_tried: bool = False,
) -> list[Content]:
    """A row for every value of the end looked at; `marks_tried` has a sign at what nobody read."""
    names = sheet.names
    tried = {n for n in names if marks_tried and sheet.measured(n) and not sheet.is_read(n)}
    return [_row(sheet, name, shares or {}, glyphs, width, name in tried) for name in names]


def _row(
    sheet: Sheet, name: str, shares: dict[Factor, Part], glyphs: Glyphs, width: int, tried: bool
) -> Content:
    slim = width < _SLIM_BELOW
    first, second = (_SLIM_LABEL, _SLIM_MEASURED) if slim else (_LABEL, _MEASURED)
    measured = sheet.measured(name)
    told = _NOT_READ if measured is None else f"{measured}{TRIED}" if tried else str(measured)
    should = f"{sheet.target(name)}{' *' if sheet.is_thumb(name) else ''}"
    called = label(name)
    for words, fewer in _SLIM_WORDS.items() if slim else ():
        called = called.replace(words, fewer)
    row = Content.assemble(
        f"{called:<{first}}",
        (f"{told:<{second}}", "$text-muted" if measured is None else "bold"),
        f"{should:<{_TARGET}}",
    )

    def put(words: str) -> Content:
        """The row with its last column, which stands below where it is too wide."""
        return Content.assemble(row, f"\n{'':<{first}}" * (len(row) + len(words) > width), words)

    factor = VALUES[name].factor
    part = None if factor is None else shares.get(factor)
    if part is None or measured is None:
        return row
    if [other for other in sheet.names if sheet.measured(other)] == [name] and part.share:
        return put("only one read" if slim else "only one measured")
    for lead, led in ((Factor.SPRING, "-sag"), (Factor.FRICTION, "-gap")):
        if factor is lead and not name.endswith(led) and _measured(sheet, led):
            return put(f"with the {led[1:]}")
    room = min(_MOST_BAR, width - _LABEL - _MEASURED - _TARGET - _SHARE)
    share = part.share
    if share is None or room < _LEAST_BAR:
        return put(_slim_share(part) if slim else share_words(part))
    least, most, rest = glyphs.range_bar(share.low, share.high, room)
    return Content.assemble(row, f"{share_words(part):<{_SHARE}}", least, most, (rest, "dim"))


def _slim_share(part: Part) -> str:
    """A share with its range in 14 columns."""
    if part.share is None:
        softer = whole_percent(-part.effect.middle)
        return "nothing" if softer == "0 %" else f"softens {softer}"
    low, high = (round(100 * end) or 0 for end in (part.share.low, part.share.high))
    middle = whole_percent(part.share.middle)
    return middle if low == high else f"{middle} ({low}-{high})"


def _measured(sheet: Sheet, ending: str) -> bool:
    return any(n.endswith(ending) and sheet.measured(n) for n in sheet.names)
