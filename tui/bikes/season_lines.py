"""A bike's season as text: a chart for each figure, with services and cases marked under it."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.records.cases.season import Mark, Plotted, Season
from diagnose.words.chances import counted
from diagnose.words.titles import clock_title, lowered, short_titles
from rules.rulebase import RuleBase
from tui.terminal.charts import time_chart
from tui.terminal.text import WIDTH

_LETTERS = {"service": "s", "case": "c"}
BOTH = "*"
_STANDS = ("clicks", "turns")
LEGEND = "s a service, c a case, * both; the level line is the baseline"


def line_title(rules: RuleBase, line: Plotted) -> str:
    """What a figure is called: `Rear sag with the rider on`, `Hours on the bike`."""
    if line.observation is None:
        return "Hours on the bike"
    return short_titles(rules, [line.observation])[line.observation]


def mark_text(rules: RuleBase, mark: Mark) -> str:
    """A mark with its letter, its day and its words."""
    what = f"case {mark.of}: {mark.what}"
    if mark.kind == "service":
        note = f" ({mark.what})" if mark.what else ""
        what = f"service: {lowered(clock_title(rules, mark.of))}{note}"
    return f"{_LETTERS[mark.kind]}  {mark.on.isoformat()}  {what}"


def season_chart(
    season: Season, line: Plotted, *, fancy: bool, fine: bool, height: int, width: int = WIDTH
) -> list[str]:
    """One figure over the season as lines of text, marks and months under it."""
    letters: dict[int, set[str]] = {}
    for mark in season.marks:
        letters.setdefault((mark.on - season.first).days, set()).add(_LETTERS[mark.kind])
    marks = {day: BOTH if len(of) > 1 else next(iter(of)) for day, of in letters.items()}
    days = max((season.last - season.first).days, 1)
    drawn = [((on - season.first).days, value) for on, value in line.points]
    if line.unit in _STANDS:
        drawn = [*_steps(drawn), (days, drawn[-1][1])]
    return time_chart(
        [x for x, _ in drawn], [y for _, y in drawn], days=days, first=season.first, marks=marks,
        unit=line.unit, level=line.level,
        fancy=fancy, fine=fine, height=height, width=width,
    )  # fmt: skip


def _steps(points: list[tuple[int, float]]) -> Iterator[tuple[int, float]]:
    """What is set stands until it is set otherwise."""
    for number, (day, value) in enumerate(points):
        if number:
            yield day, points[number - 1][1]
        yield day, value


def season_head(rules: RuleBase, line: Plotted) -> str:
    """A figure, how often it was read, and what it was first and last."""
    first, last = line.points[0][1], line.points[-1][1]
    read = counted(len(line.points), "ride" if line.observation is None else "reading")
    title = line_title(rules, line)
    level = "" if line.level is None else f"; baseline {line.level:.4g}"
    span = f"{last:.4g} {line.unit}"
    if len(line.points) > 1:
        span = f"{first:.4g} to {span}"
    return f"{title}: {span} in {read}{level}"


def season_lines(
    rules: RuleBase, name: str, season: Season, lines: list[Plotted], *, fancy: bool
) -> Iterator[str]:
    """A whole season on paper."""
    yield f"{name}, {season.first.isoformat()} to {season.last.isoformat()}"
    if not lines:
        yield "Nothing is on record in that time; `badride bike ride` and `bike set` note it."
    for line in lines:
        yield ""
        yield season_head(rules, line)
        yield from season_chart(season, line, fancy=fancy, fine=False, height=6)
    if season.marks:
        yield ""
        yield f"Under each chart: {LEGEND}."
        yield from (f"  {mark_text(rules, mark)}" for mark in season.marks)
