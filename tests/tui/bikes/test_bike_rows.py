"""The tables of a bike's page: whole words at every width that they are drawn in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

import pytest

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_setting
from diagnose.records.store.opening import open_memory
from diagnose.words.settings import on_record
from rules.rulebase import RuleBase
from tests.clocks import Standing
from tui.bikes.bike_rows import check_rows, due_table, past_table, settings_table
from tui.bikes.bike_sheet import BikeSheet, sheet_of
from tui.widgets.table_panel import PanelTable

TODAY = date(2026, 5, 1)
SETTINGS = (
    "front-tyre-gauge=15 psi",
    "rear-race-sag-measured=112 mm",
    "fork-compression-clicks=12",
)


@pytest.fixture(scope="module")
def bike(offroad: RuleBase) -> Bike:
    noted = [read_setting(offroad, text, TODAY) for text in SETTINGS]
    return BikeBook(open_memory(Standing())).add("Demo 250", noted)


@pytest.fixture(scope="module")
def sheet(offroad: RuleBase, bike: Bike) -> BikeSheet:
    return sheet_of(offroad, bike, (), TODAY)


def words(lines: list[str]) -> list[str]:
    return sorted(word for line in lines for word in line.split())


@pytest.mark.parametrize("width", [48, 55, 60, 77])
def test_a_row_is_broken_and_no_name_in_it_is_cut(
    offroad: RuleBase, sheet: BikeSheet, width: int
) -> None:
    tables: list[Callable[[int], PanelTable]] = [
        partial(settings_table, offroad, sheet),
        partial(due_table, offroad, sheet),
        partial(past_table, sheet),
    ]
    for draw in tables:
        wide, narrow = draw(89), draw(width)
        assert words([row.plain for row in narrow.rows]) == words([row.plain for row in wide.rows])
        lines = [line for row in narrow.rows for line in row.plain.splitlines()]
        assert all(len(line) <= width for line in (*lines, *narrow.head.splitlines()))


@pytest.mark.parametrize("width", [40, 60, 77])
def test_the_list_before_a_ride_is_broken_and_not_cut(
    offroad: RuleBase, bike: Bike, sheet: BikeSheet, width: int
) -> None:
    noted = [on_record(offroad, bike, c.note) if c.note else None for c in sheet.checks]
    nothing = [False] * len(noted)
    rows, wide = (check_rows(sheet.checks, nothing, noted, room) for room in (width, 300))
    assert any(record is not None for record in noted)
    for row, whole in zip(rows, wide, strict=True):
        assert words([row.plain]) == words([whole.plain])
        assert all(len(line) <= width for line in row.plain.splitlines())
