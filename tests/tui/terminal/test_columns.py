"""Tables of plain text."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tui.terminal.columns import table
from tui.terminal.text import WIDTH

CELL = st.text("ab -=\N{GREEK SMALL LETTER MU}", max_size=60)


def test_a_table_that_fits_is_as_wide_as_its_cells() -> None:
    assert table([("a", "long cell"), ("bb", "")], ("No", "Text")) == [
        "No  Text",
        "a   long cell",
        "bb",
    ]
    assert table([], ("No",)) == []


def test_cells_that_are_too_wide_go_on_below() -> None:
    lines = table([("fork-low-speed-compression-clicks", "x " * 40, "3")], ("Setting", "Now", "n"))
    assert max(map(len, lines)) <= WIDTH
    assert lines[0].split() == ["Setting", "Now", "n"]
    assert "".join(lines[1:]).count("x") == 40


@given(st.lists(st.tuples(CELL, CELL, CELL, CELL), max_size=4))
def test_every_line_fits_and_nothing_is_left_out(rows: list[tuple[str, str, str, str]]) -> None:
    lines = table(rows, ("one", "two", "three", "four"))
    assert all(len(line) <= WIDTH for line in lines)
    for letter in "ab=":
        assert "".join(lines[1:]).count(letter) == sum(c.count(letter) for r in rows for c in r)
