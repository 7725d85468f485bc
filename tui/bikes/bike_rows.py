"""The tables of a bike's page, as rows that fit the width there is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from textwrap import wrap

from textual.content import Content

from diagnose.records.bikes.against_baseline import SettingDifference
from diagnose.records.bikes.before_ride import Check
from diagnose.records.bikes.service import ClockState
from diagnose.words.answers import answer_text
from diagnose.words.bike_words import amount, clock_text, left_text
from diagnose.words.chances import ago
from diagnose.words.settings import OnRecord, setting_text, way_back
from diagnose.words.titles import clock_title, short_titles
from rules.rulebase import RuleBase
from tui.bikes.bike_sheet import BikeSheet
from tui.widgets.table_panel import PanelTable

_GAP = 2
_LEAST = 8
_AIRY = 90
THUMB = "*"


def settings_table(rules: RuleBase, sheet: BikeSheet, width: int) -> PanelTable:
    """The baseline, how it stands now and the way back; what is to be set right comes first."""
    titles = short_titles(rules, [row.observation for row in sheet.differences])
    wide = width >= _AIRY
    cells, details, strong = [], [], []
    for row in sheet.differences:
        before = "-" if row.baseline is None else answer_text(rules, row.baseline.answer)
        now, target = answer_text(rules, row.now.answer), _target(row)
        back = way_back(row)
        line = (titles[row.observation], before, now, back or "-")
        cells.append((*line, target) if wide else line)
        strong.append(bool(back))
        details.append(setting_text(rules, row, sheet.today))
    head = ("Setting", "Baseline", "Now", "To set right")
    moved = len(sheet.moved)
    return _table(
        f"Baseline and now: {moved} to set right" if moved else "Baseline and now",
        (*head, "Should be") if wide else head,
        cells,
        details,
        width,
        strong,
        "No settings on record yet; r notes the first.",
    )


def due_table(rules: RuleBase, sheet: BikeSheet, width: int) -> PanelTable:
    """Service clocks, soonest due first."""
    cells = [
        (
            clock_title(rules, state.clock),
            "-" if state.since is None else amount(state.since.value, state.since.unit),
            f"{state.interval}{'' if state.is_own else ' ' + THUMB}",
            left_text(state),
            _due_on(state),
        )
        for state in sheet.clocks
    ]
    overdue = len(sheet.overdue)
    return _table(
        f"Due: {overdue} run out" if overdue else "Due",
        ("Counted", "So far", "Every", "Left", "Due about"),
        cells,
        [clock_text(rules, state) for state in sheet.clocks],
        width,
        [state.overdue for state in sheet.clocks],
        "This kind of bike has no service clocks in the rule base.",
    )


def past_table(sheet: BikeSheet, width: int) -> PanelTable:
    """Rides, services and settings logged, the latest day first."""
    cells = [(p.on.isoformat(), p.noted) for p in sheet.past]
    details = [
        f"{p.on.isoformat()}, {ago((sheet.today - p.on).days)}: {what}"
        for p, (_, what) in zip(sheet.past, cells, strict=True)
    ]
    none = [False] * len(cells)
    empty = "Nothing yet; a logs a ride, f a service, r a setting."
    return _table("History", ("Day", "What"), cells, details, width, none, empty)


def cases_table(sheet: BikeSheet, width: int) -> PanelTable:
    """The cases of the bike, the latest first."""
    cells = [
        (row.title, str(row.id), row.outcome or row.state, row.changed_at.date().isoformat())
        for row in sheet.cases
    ]
    details = [
        f"Case {row.id}: {row.title}; opened {row.opened_at.date().isoformat()}"
        for row in sheet.cases
    ]
    still_open = [row.state == "open" for row in sheet.cases]
    head = ("Complaint", "Case", "State", "Changed")
    return _table("Cases", head, cells, details, width, still_open, "No cases on this bike yet.")


def check_rows(
    checks: Sequence[Check],
    ticked: Sequence[bool],
    records: Sequence[OnRecord | None],
    width: int,
) -> list[Content]:
    """The list before a ride: tick, what to look at, what was noted of it, why now."""
    rows = []
    for check, done, record in zip(checks, ticked, records, strict=True):
        mark = "[x]" if done else "[ ]"
        off = "OFF" if record is not None and record.is_off else "   "
        due = "DUE" if check.due and not done else off
        if record is not None:
            last = "" if done else "last "
            rest = f"{last}{record.words} ({record.on.isoformat()}); {check.why}"
        else:
            rest = f"{check.why}{f'; last {check.last}' if check.last else ''}"
        room = width - len(mark) - len(due) - 2
        indent = "\n" + " " * (width - room)
        title = indent.join(wrap(check.title, max(room, _LEAST)))
        why = f"{' ' * _GAP}{rest}"
        if len(check.title) + len(why) > room:
            why = "".join(indent + line for line in wrap(rest, max(room, _LEAST)))
        rows.append(
            Content.assemble(
                (mark, "bold"), " ", (due, "bold"), " ",
                (title, "" if done else "bold"), why,
            )
        )  # fmt: skip
    return rows


def _table(
    title: str,
    head: tuple[str, ...],
    cells: Sequence[tuple[str, ...]],
    details: list[str],
    width: int,
    strong: Sequence[bool],
    empty: str,
) -> PanelTable:
    columns = list(zip(head, *cells, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [max(len(word) for cell in column for word in cell.split()) for column in columns]
    for _ in range(sum(widths) + _GAP * (len(widths) - 1) - width):
        spare = [n for n, w in enumerate(widths) if w > least[n]]
        if spare:
            widths[max(spare, key=lambda n: widths[n])] -= 1
    rows = [
        Content.styled("\n".join(_lines(row, widths)), "bold" if is_strong else "")
        for row, is_strong in zip(cells, strong, strict=True)
    ]
    return PanelTable(title, "\n".join(_lines(head, widths)), rows, details, empty)


def _lines(cells: tuple[str, ...], widths: Sequence[int]) -> list[str]:
    """The cells side by side, each broken into as many lines as it takes."""
    gap = " " * _GAP
    broken = [
        wrap(c, w, break_on_hyphens=False) or [""] for c, w in zip(cells, widths, strict=True)
    ]
    return [
        gap.join(f"{part:<{w}}" for part, w in zip(line, widths, strict=True)).rstrip()
        for line in zip_longest(*broken, fillvalue="")
    ]


def _target(row: SettingDifference) -> str:
    if row.target is None:
        return "-"
    return f"{row.target}{'' if row.is_own else ' ' + THUMB}"


def _due_on(state: ClockState) -> str:
    if state.left is None and not state.is_unknown:
        return "-"
    if state.overdue:
        return "DUE NOW"
    return "too few rides" if state.due_on is None else state.due_on.isoformat()
