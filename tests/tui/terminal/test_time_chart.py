"""A figure over time in text: dates and marks stand under their days."""

from __future__ import annotations

from datetime import date

from tui.terminal.charts import time_chart


def rows(marks: dict[int, str], xs: list[int], ys: list[float]) -> list[str]:
    return time_chart(
        xs, ys, days=100, first=date(2026, 1, 1), marks=marks, unit="mm", level=None,
        fancy=False, fine=False, height=6, width=78,
    )  # fmt: skip


def test_marks_stand_under_their_days_and_dates_under_the_ends() -> None:
    drawn = rows({0: "s", 50: "c", 100: "s"}, [0, 100], [100, 110])
    marks, dates = drawn[-2], drawn[-1]
    assert (marks[1], marks[-1], len(marks)) == ("s", "s", 65)
    assert marks[1:].index("c") in (31, 32)
    assert dates.split() == ["2026-01-01", "2026-02-20", "2026-04-11"]
    assert all(len(row) <= 78 for row in drawn)
    assert drawn[0].startswith("+--")
    assert all(character.isascii() for row in drawn for character in row)


def test_a_single_reading_and_one_day_are_drawn() -> None:
    assert any("*" in row for row in rows({}, [40], [13])[1:-3])
    one = time_chart(
        [0], [13], days=1, first=date(2026, 1, 1), marks={0: "c"}, unit="psi", level=13,
        fancy=True, fine=True, height=6, width=78,
    )  # fmt: skip
    assert one[-2].strip() == "c"


def test_two_marks_on_one_column_are_said() -> None:
    assert (
        "*" in rows({50: "s", 51: "c"}, [0, 100], [1, 2])[-2]
        or "sc" in rows({50: "s", 51: "c"}, [0, 100], [1, 2])[-2]
    )
    crowded = rows(dict.fromkeys((50,), "*"), [0, 100], [1, 2])
    assert "*" in crowded[-2]
