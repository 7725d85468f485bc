"""A kept bike as plain lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from diagnose.case.events import target_of
from diagnose.records.bikes.before_ride import Check
from diagnose.records.bikes.bike import Bike, Setting
from diagnose.records.bikes.bike_book import BikeRow
from diagnose.records.bikes.comparing import Difference
from diagnose.records.bikes.service import ClockState, riding_rate
from diagnose.records.store.times import ago
from diagnose.words.steps import answer_text, caution_texts, source_text
from rules.rulebase import RuleBase
from tui.bikes.aims import way_back
from tui.plain.lines import machine_line
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def list_lines(rows: Sequence[BikeRow]) -> Iterator[str]:
    """Bikes, a line each."""
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
    yield from wrapped(machine_line(rules, bike.machine), "  ", "  ")
    if bike.use:
        yield from wrapped(bike.use, "  ", "  Used for: ")
    yield from wrapped(hours_text(bike, today), "  ", "  Hours: ")
    yield "Figures:"
    for name, entry in rules.specs.items():
        figure = bike.targets.get(name)
        if figure is not None:
            where = f"{figure.quantity} (read in {figure.read_in}, {figure.on.isoformat()})"
            yield from wrapped(f"{entry.title}: {where}", "    ", "  ")
    missing = [name for name in rules.specs if name not in bike.targets]
    if missing:
        such = _thumb(rules, bike, missing[0])
        some = f"{len(missing)} figures are only rules of thumb, such as {such}"
        yield from wrapped(some + "; `badride bike edit` takes the manual's", "    ", "  ")
    if bike.now:
        yield "Settings on record:"
        for name, setting in bike.now.items():
            title = rules.observations[name].ask if name in rules.observations else name
            age = f"{setting.on.isoformat()}, {ago((today - setting.on).days)}"
            value = setting.answer.reading or setting.answer.state
            yield from wrapped(f"{title}: {value} ({age})", "    ", "  ")
    if log:
        yield "Log:"
        yield from _log_lines(rules, bike)


def hours_text(bike: Bike, today: date) -> str:
    """Total hours and the riding rate."""
    if not bike.rides:
        return "none logged"
    rate = riding_rate(bike, today)
    text = f"{bike.total_hours:.4g} h, last ride logged {bike.rides[-1].on.isoformat()}"
    return text if rate is None else f"{text}, about {rate * 7:.2g} h a week of late"


def _thumb(rules: RuleBase, bike: Bike, spec: str) -> str:
    figure, _ = target_of(rules, bike.machine, spec)
    return f"{rules.specs[spec].title.lower()} {figure}"


def _log_lines(rules: RuleBase, bike: Bike) -> Iterator[str]:
    lines = [
        (s.seq, s.on, f"set: {s.answer.observation} {answer_text_of(rules, s)}", s.note)
        for s in bike.settings
    ]
    lines += [
        (r.seq, r.on, f"ride: {r.hours:.3g} h" + (f", meter {r.meter:.6g} h" if r.meter else "")
         + f", total {r.total:.4g} h", r.note)
        for r in bike.rides
    ]  # fmt: skip
    lines += [
        (s.seq, s.on, f"service: {s.clock} at {s.total:.4g} h", s.note) for s in bike.services
    ]
    for seq, on, text, note in sorted(lines, key=lambda line: (line[1], line[0])):
        remark = f" ({note})" if note else ""
        yield from wrapped(f"{on.isoformat()}  {text}{remark}", "        ", f"  {seq:>3}  ")


def answer_text_of(rules: RuleBase, setting: Setting) -> str:
    """A setting's value in words."""
    answer = setting.answer
    if answer.observation in rules.observations:
        return answer_text(rules, answer)
    return str(answer.reading or answer.state)


def difference_lines(rows: Sequence[Difference], *, every: bool) -> Iterator[str]:
    """Baseline against now, and the way to where it should stand."""
    shown = [row for row in rows if every or way_back(row)]
    if not rows:
        yield "No settings on record yet; `badride bike set` notes them."
        return
    if not shown:
        marked = all(row.baseline and row.baseline.answer == row.now.answer for row in rows)
        yield (
            f"All {len(rows)} settings stand as in the baseline."
            if marked
            else "Nothing to set right by the manual's figures and the baseline on record."
        )
        return
    cells = []
    for row in shown:
        before, now = row.baseline, row.now.answer
        target = "" if row.target is None else f"{row.target}{' *' if row.rule_of_thumb else ''}"
        cells.append(
            (
                row.observation,
                "-"
                if before is None
                else f"{before.answer.reading or before.answer.state} ({before.on.isoformat()})",
                f"{now.reading or now.state} ({row.now.on.isoformat()})",
                way_back(row) or "-",
                target or "-",
            )
        )
    yield from table(cells, ("Setting", "Baseline", "Now", "To set right", "Target"))
    if any(row.rule_of_thumb for row in shown):
        yield "* a rule of thumb, not the manual's figure"


def due_lines(
    rules: RuleBase, bike: Bike, states: Sequence[ClockState], today: date
) -> Iterator[str]:
    """Service clocks, soonest due first."""
    yield f"{bike.name}: {hours_text(bike, today)}"
    for state in states:
        thumb = ", rule of thumb" if state.rule_of_thumb else ", as given"
        interval = f"every {state.interval}{thumb}"
        if state.since is None:
            text = f"no service on record; {interval}"
        elif state.overdue:
            assert state.left is not None
            over = f"{-state.left.value:.3g} {state.left.unit}"
            text = f"DUE NOW, {over} over; {state.since} since {_on(state)}; {interval}"
        else:
            text = (
                f"{state.left} left; {state.since} since {_on(state)}; {interval}; {_when(state)}"
            )
        yield from wrapped(f"{state.clock}: {text}", "    ", "  ")
    yield from wrapped(
        "Dates for hours are forecasts from the riding of the last eight weeks.", "  ", "  "
    )


def _on(state: ClockState) -> str:
    return state.service.on.isoformat() if state.service else ""


def _when(state: ClockState) -> str:
    if state.due_on is None:
        return "no date: too few rides logged"
    return f"due about {state.due_on.isoformat()}"


def check_lines(
    rules: RuleBase, checks: Sequence[Check], sources: Sequence[str], states: Sequence[ClockState]
) -> Iterator[str]:
    """The list before a ride. A caution is written out where it first applies."""
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
            yield from wrapped(f"{state.clock} has run out", "      ", "  DUE  service: ")
    for source in sources:
        if source in rules.sources:
            yield from wrapped(source_text(rules, source), "  ", "Source: ")
