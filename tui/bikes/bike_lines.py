"""A kept bike as plain lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from diagnose.records.bikes.against_baseline import SettingDifference
from diagnose.records.bikes.before_ride import Check
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeRow
from diagnose.records.bikes.service import ClockState
from diagnose.words.answers import answer_text
from diagnose.words.bike_words import bike_in_full, due_text, hours_text, past_of, thumbs_text
from diagnose.words.chances import ago
from diagnose.words.settings import way_back
from diagnose.words.sources import source_lines
from diagnose.words.step_words import caution_texts
from diagnose.words.titles import clock_title, setting_title, short_titles
from rules.rulebase import RuleBase
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def list_lines(rows: Sequence[BikeRow]) -> Iterator[str]:
    """A line for each bike."""
    if not rows:
        yield "No bikes yet; `badride bike add NAME` adds one."
        return
    cells = [
        (row.name + (" (archived)" if row.archived else ""), str(row.open_cases), str(row.cases),
         row.changed.isoformat())
        for row in rows
    ]  # fmt: skip
    yield from table(cells, ("Bike", "Open", "Cases", "Changed"))


def bike_lines(rules: RuleBase, bike: Bike, today: date, *, log: bool) -> Iterator[str]:
    """Everything on record of one bike."""
    yield bike.name + (" (archived)" if bike.archived else "")
    yield from wrapped(bike_in_full(rules, bike.machine), "  ", "  ")
    if bike.use:
        yield from wrapped(bike.use, "  ", "  Used for: ")
    yield from wrapped(hours_text(bike, today), "  ", "  Hours: ")
    yield "Figures:"
    for name, entry in rules.specs.items():
        figure = bike.targets.get(name)
        if figure is not None:
            where = f"{figure.quantity} (read in {figure.read_in}, {figure.on.isoformat()})"
            yield from wrapped(f"{entry.title}: {where}", "    ", "  ")
    thumbs = thumbs_text(rules, bike)
    if thumbs:
        yield from wrapped(f"{thumbs}; `badride bike edit` takes the manual's", "    ", "  ")
    if bike.now:
        yield "Settings on record:"
        for name, setting in bike.now.items():
            age = f"{setting.on.isoformat()}, {ago((today - setting.on).days)}"
            value = answer_text(rules, setting.answer)
            yield from wrapped(f"{setting_title(rules, name)}: {value} ({age})", "    ", "  ")
    if log:
        yield "Log:"
        for past in past_of(rules, bike):
            if past.seq:
                text = f"{past.on.isoformat()}  {past.noted}"
                yield from wrapped(text, "        ", f"  {past.seq:>3}  ")


def difference_lines(
    rules: RuleBase, rows: Sequence[SettingDifference], *, every: bool
) -> Iterator[str]:
    """The baseline, how it stands now, and the way back; `every` also has what stands right."""
    shown = [row for row in rows if every or way_back(row)]
    if not rows:
        yield "No settings on record yet; `badride bike set` notes them."
        return
    if not shown:
        marked = all(row.baseline and row.baseline.answer == row.now.answer for row in rows)
        yield (
            f"All {len(rows)} settings stand as in the baseline."
            if marked
            else f"Nothing to set right by the manual's figures and the baseline on record; "
            f"{len(rows)} on record, --all shows them."
        )
        return
    titles = short_titles(rules, [row.observation for row in shown])
    cells = []
    for row in shown:
        before = row.baseline
        noted = "-"
        if before is not None:
            noted = f"{answer_text(rules, before.answer)} ({before.on.isoformat()})"
        target = "" if row.target is None else f"{row.target}{'' if row.is_own else ' *'}"
        cells.append(
            (
                titles[row.observation],
                noted,
                f"{answer_text(rules, row.now.answer)} ({row.now.on.isoformat()})",
                way_back(row) or "-",
                target or "-",
            )
        )
    yield from table(cells, ("Setting", "Baseline", "Now", "To set right", "Target"))
    if len(shown) < len(rows):
        yield f"{len(rows) - len(shown)} more on record; --all shows them too."
    if any(row.target is not None and not row.is_own for row in shown):
        yield "* not the bike's own figure but one for its kind or a rule of thumb"


def due_lines(
    rules: RuleBase, bike: Bike, states: Sequence[ClockState], today: date
) -> Iterator[str]:
    """Service clocks, soonest due first."""
    yield f"{bike.name}: {hours_text(bike, today)}"
    for state in states:
        yield from wrapped(due_text(rules, state), "    ", "  ")
    yield from wrapped(
        "Dates for hours are forecasts from the riding of the last eight weeks.", "  ", "  "
    )


def check_lines(
    rules: RuleBase, checks: Sequence[Check], sources: Sequence[str], states: Sequence[ClockState]
) -> Iterator[str]:
    """The list before a ride. A caution is written out where it first applies.

    What ticks a check off is named by its id, as `badride bike set` takes it.
    """
    written: dict[str, int] = {}
    for number, check in enumerate(checks, 1):
        mark = "DUE" if check.due else "ok"
        last = f"; last {check.last}" if check.last else ""
        noted = f"; note it as {check.note}" if check.note else ""
        yield from wrapped(
            f"{mark}: {check.title} ({check.why}{last}{noted})", "      ", f"  {number:>2}  "
        )
        for name in check.cautions if check.due else ():
            first = written.setdefault(name, number)
            (text,) = caution_texts(rules, [name])
            text = text if first == number else f"as at {first}."
            yield from wrapped(text, "        ", "      CAUTION: ")
    for state in states:
        if state.overdue:
            title = clock_title(rules, state.clock)
            yield from wrapped(f"{title} has run out", "      ", "  DUE  service: ")
    for line in source_lines(rules, [name for name in sources if name in rules.sources]):
        yield from wrapped(line, "  ", "")
