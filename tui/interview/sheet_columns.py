"""The rows of the sheet in columns, drawn to fit a width."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content

from diagnose.advice.sheet import Sheet
from diagnose.case.events import Case
from diagnose.words.sheet_words import PARTS, row_text
from rules.rulebase import RuleBase
from tui.plain.sheet_rows import blank

_PART, _MINUTES, _GAP = 8, 8, 1
# from this width on there is room for what a check is good for
_WITH_USE = 70


def sheet_lines(
    rules: RuleBase, case: Case, sheet: Sheet, width: int, typed: tuple[int, str] | None = None
) -> Iterator[Content]:
    """A line for each row; the first of a part begins with its name. `typed` is a row and what has
    been typed into it so far."""
    value_room = 14 if width < _WITH_USE else 16
    use_room = max(20, width // 4) if width >= _WITH_USE else 0
    title_room = max(12, width - _PART - value_room - _MINUTES - use_room - 3 * _GAP)
    part = ""
    for number, row in enumerate(sheet.rows):
        name = "" if PARTS[row.kind] == part else PARTS[row.kind]
        part = PARTS[row.kind]
        words = row_text(rules, case, row)
        value, room, wide = words.value, value_room, title_room
        if typed is not None and typed[0] == number:
            value = f"{typed[1]}_"
        if row.kind == "said":
            room += _MINUTES + use_room
        elif not value:
            value = blank(rules, case, row)
        elif row.faults:
            # the figure of a fault is never cut for the sake of its title
            room = max(room, min(len(value), width // 3))
            wide = title_room - (room - value_room)
        yield Content.assemble(
            (f"{name:<{_PART}}", "bold"),
            f"{_cut(words.title, wide)} ",
            (f"{_cut(value, room)} ", "bold"),
            "" if row.kind == "said" else f"{words.minutes:>{_MINUTES - 1}}  ",
            words.use if use_room else "",
        )


def _cut(text: str, room: int) -> str:
    return f"{text:<{room}}" if len(text) <= room else f"{text[: room - 1]}…"
