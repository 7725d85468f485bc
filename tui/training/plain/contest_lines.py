"""How simulated trainees did, as a table of plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.simulation.intervals import Average
from diagnose.training.customers.guide import MEASURES
from diagnose.training.habits.contest import EXAM_CASES, HABITS, HabitStanding, misjudged
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def contest_lines(
    standings: Sequence[HabitStanding], pass_mark: float, exam_mark: float
) -> Iterator[str]:
    """Scores with bands, what they are made of, and whether each habit gets what it deserves."""
    yield f"{standings[0].cases} cases, the same for every habit; means with 95 % intervals."
    rows: list[tuple[str, ...]] = [
        (
            row.habit,
            _figure(row.total, 1),
            " / ".join(f"{score:.0f}" for score in row.middle),
            f"{row.passed:.0%}",
            f"{row.exams:.0%}",
        )
        for row in standings
    ]
    yield from table(rows, ("habit", "score", "10 / 50 / 90 %", "cases", "exams"))
    yield from wrapped(
        f"cases: passed from {pass_mark:g} points; exams: sittings of {EXAM_CASES} cases passed, "
        f"from a mean of {exam_mark:g}."
    )
    yield ""
    rows = [
        (row.habit, _figure(row.minutes, 0), _figure(row.proven, 0, 100), f"{row.steps.mean:.1f}")
        for row in standings
    ]
    yield from table(rows, ("habit", "minutes", "ended well, %", "steps"))
    yield ""
    yield "Share of the points by measure, %:"
    rows = [(row.habit, *(_share(row.shares.get(name)) for name in MEASURES)) for row in standings]
    yield from table(rows, ("habit", *(name.replace("expected-", "") for name in MEASURES)))
    yield ""
    for habit, note in HABITS.items():
        yield f"  {habit}: {note.does}"
    wrong = misjudged(standings, pass_mark, exam_mark)
    if wrong:
        yield from wrapped(f"NOT WHAT THEY DESERVE: {', '.join(wrong)}.")
    else:
        yield from wrapped(
            "Following the advice passes lesson and exam, every bad habit fails both: no interval "
            "reaches a mark on the other side."
        )


def _share(share: float | None) -> str:
    return "-" if share is None else f"{share * 100:.0f}"


def _figure(value: Average, digits: int, times: float = 1) -> str:
    low, mean, high = (f"{x * times:.{digits}f}" for x in (value.low, value.mean, value.high))
    return f"{mean} ({low} to {high})"
