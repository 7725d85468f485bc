"""How simulated trainees did, as a table of plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.simulation.intervals import Average
from diagnose.training.customers.guide import MEASURES
from diagnose.training.habits.contest import HABITS, HabitStanding, ranked_apart
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def contest_lines(standings: Sequence[HabitStanding]) -> Iterator[str]:
    """Scores with 95 % intervals, what they are made of, and whether the habits stand apart."""
    yield f"{standings[0].cases} cases, the same for every habit; means with 95 % intervals."
    rows: list[tuple[str, ...]] = [
        (
            row.habit,
            _figure(row.total, 1),
            _figure(row.minutes, 0),
            _figure(row.proven, 0, 100),
            f"{row.steps.mean:.1f}",
        )
        for row in standings
    ]
    yield from table(rows, ("habit", "score", "minutes", "ended well, %", "steps"))
    yield ""
    yield "Share of the points by measure, %:"
    rows = [
        (row.habit, *(f"{row.shares[name] * 100:.0f}" for name in MEASURES)) for row in standings
    ]
    yield from table(rows, ("habit", *(name.replace("expected-", "") for name in MEASURES)))
    yield ""
    for habit, words in HABITS.items():
        yield f"  {habit}: {words}"
    apart = "do not overlap" if ranked_apart(standings) else "OVERLAP"
    yield from wrapped(f"In this order, from worst to best, the intervals of the score {apart}.")


def _figure(value: Average, digits: int, times: float = 1) -> str:
    low, mean, high = (f"{x * times:.{digits}f}" for x in (value.low, value.mean, value.high))
    return f"{mean} ({low} to {high})"
