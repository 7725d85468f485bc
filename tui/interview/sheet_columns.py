"""The rows of the sheet in columns, drawn to fit a width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import zip_longest
from textwrap import wrap

from textual.content import Content

from diagnose.advice.sheet import CaseSheet, SheetRow
from diagnose.case.events import Case
from diagnose.words.sheet_words import PARTS, RowText, row_text
from rules.rulebase import RuleBase
from tui.plain.sheet_rows import blank

_PART, _VALUE, _MINUTES, _CHANCE = 8, 11, 7, len("put right")
_MIN = " min"
# from these widths on there is room for how likely what a check settles is, and for what that is
_WITH_CHANCE, _WITH_USE = 70, 100


def sheet_lines(
    rules: RuleBase, case: Case, sheet: CaseSheet, width: int, typed: tuple[int, str] | None = None
) -> Iterator[Content]:
    """A line for each row, in few words: those of the row marked stand whole below the list. The
    first of a part begins with its name, the first of all says that its figure is minutes, and what
    rows of a part below one another are good for alike stands at the first of them. `typed` is a
    row and what has been typed into it so far."""
    part = use = ""
    timed = next((n for n, row in enumerate(sheet.rows) if row.kind != "said"), None)
    for number, row in enumerate(sheet.rows):
        name = "" if PARTS[row.kind] == part else PARTS[row.kind]
        part = PARTS[row.kind]
        words = row_text(rules, case, row)
        is_same = words.use == use and not name
        words, use = (replace(words, use="", chance="") if is_same else words), words.use
        if number != timed:
            words = replace(words, minutes=words.minutes.removesuffix(_MIN) + " " * len(_MIN))
        value = words.value or blank(rules, case, row)
        if typed is not None and typed[0] == number:
            value = f"{typed[1]}_"
        yield _line(row, name, words, value, width)


def _line(row: SheetRow, name: str, words: RowText, value: str, width: int) -> Content:
    """What is too long for its column goes on below in it."""
    if width >= _WITH_USE:
        use, good_for = max(20, width // 4), words.use
    else:
        use = _CHANCE if width >= _WITH_CHANCE else 0
        good_for = words.use if row.is_work else words.chance
    room = width - _PART - 1
    if row.kind != "said":
        room -= _MINUTES + use + 3
    most = _VALUE if not words.value else room * 3 // 5
    given = min(max(_VALUE, len(value)), most)
    after = "" if row.kind == "said" else f" {words.minutes:>{_MINUTES}}"
    title, given = max(room - given, 1), max(given, 1)
    cells = zip_longest(
        wrap(words.short, title),
        wrap(value, given) or [""],
        wrap(good_for, use) if use else [],
        fillvalue="",
    )
    lines = []
    for number, (left, middle, right) in enumerate(cells):
        last = after if number == 0 else " " * len(after)
        lines.append(
            Content.assemble(
                (f"{'' if number else name:<{_PART}}", "bold"),
                f"{left:<{title}} ",
                (f"{middle:<{given}}", "bold"),
                last,
                f"  {right}" if right else "",
            )
        )
    return Content("\n").join(lines)
