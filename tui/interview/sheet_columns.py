"""The rows of the sheet in columns, drawn to fit a width."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content

from diagnose.advice.sheet import CaseSheet, SheetRow
from diagnose.case.events import Case
from diagnose.words.sheet_words import PARTS, RowText, row_text
from rules.rulebase import RuleBase
from tui.plain.sheet_rows import blank

_PART, _VALUE, _MINUTES = 8, 11, 7
# from this width on there is room for what a check is good for
_WITH_USE = 70


def sheet_lines(
    rules: RuleBase, case: Case, sheet: CaseSheet, width: int, typed: tuple[int, str] | None = None
) -> Iterator[Content]:
    """A line for each row; the first of a part begins with its name. `typed` is a row and what has
    been typed into it so far."""
    part = ""
    for number, row in enumerate(sheet.rows):
        name = "" if PARTS[row.kind] == part else PARTS[row.kind]
        part = PARTS[row.kind]
        words = row_text(rules, case, row)
        value = words.value or blank(rules, case, row)
        if typed is not None and typed[0] == number:
            value = f"{typed[1]}_"
        yield _line(row, name, words, value, width)


def _line(row: SheetRow, name: str, words: RowText, value: str, width: int) -> Content:
    """Titles are cut before figures are: the card of a row has its title whole."""
    use = max(20, width // 4) if width >= _WITH_USE else 0
    room = width - _PART - 1
    if row.kind != "said":
        room -= _MINUTES + use + 3
    most = _VALUE if not words.value else room * 3 // 5
    given = min(max(_VALUE, len(value)), most)
    after = "" if row.kind == "said" else f" {words.minutes:>{_MINUTES}}"
    return Content.assemble(
        (f"{name:<{_PART}}", "bold"),
        f"{_cut(words.title, room - given)} ",
        (_cut(value, given), "bold"),
        after,
        f"  {words.use}" if use and words.use else "",
    )


def _cut(text: str, room: int) -> str:
    room = max(room, 1)
    return f"{text:<{room}}" if len(text) <= room else f"{text[: room - 1]}…"
