"""No row, question or key of the quieter screens ends in an ellipsis, at any width."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, read_complaint
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_memory
from diagnose.training.course.course import load_teaching
from diagnose.training.desk import TrainingDesk
from tests.clocks import Standing
from tests.mower_bikes import memory_store, settable_shop, stock
from tests.tui.interview.test_work_before_cautions import at_work, cautioned

pytestmark = pytest.mark.long
WIDTHS = [80, 100, 120, 140, 200]


class Eye:
    """Looks at each screen that is to be seen, and keeps what is cut."""

    def __init__(self, driver: Any) -> None:
        self._driver = driver
        self.cut: list[str] = []

    def look(self, where: str) -> None:
        driver = self._driver
        assert driver.screen == where, driver.text()
        text = driver.text()
        # quoted words have one between spaces
        if re.search(r"\S…", text):
            self.cut.append(f"{where}\n{text}")
        keys = [key.region for key in driver.app.screen.query("FooterKey")]
        width = driver.app.size.width
        if any(region.right > width for region in keys):
            self.cut.append(f"{where}, keys\n{text}")


WAY = [
    ("TraineesScreen", "l"),
    ("CourseScreen", "enter"),
    ("UnitScreen", "g"),
    ("WordsScreen", "w"),
    ("WorkedScreen", "escape", "enter"),
    ("WorkedScreen", "right"),
    ("WorkedScreen", "end"),
    ("SignOffScreen", "escape", "escape", "f"),
    ("SignOffScreen", "end"),
    ("CasesScreen", "escape", "escape", "escape", "c"),
    ("JobCardScreen", "enter"),
    ("ShortForm", "e"),
]
"""Each screen with the keys that lead there from the one before."""


@pytest.mark.parametrize("width", WIDTHS)
async def test_no_row_or_key_is_cut_on_the_course_the_card_and_the_page_of_cautions(
    open_app: Any, offroad_assessor: Assessor, width: int
) -> None:
    store = open_memory(Standing())
    case = Case(events=(read_complaint(offroad_assessor.rules, "harsh/front"),))
    TrainingDesk(load_teaching(offroad_assessor.rules, ()), store).trainees.add("Ann")
    CaseBook(store, offroad_assessor.rules).begin(case)
    size = (width, 24 if width == 80 else 40)
    async with open_app(offroad_assessor, size=size, open_store=lambda: store) as driver:
        eye = Eye(driver)
        for where, *keys in WAY:
            await driver.burst(*keys)
            eye.look(where)
        name = cautioned(offroad_assessor)
        await at_work(driver, name)
        eye.look("InterviewScreen")
        for _ in range(5):
            if "read first: " in driver.flat():
                await driver.press("enter")
                eye.look("InterviewScreen")
        step = driver.step
        await driver.press("escape")
        driver.app.rooms.cases.turn_to(step)
        await driver.settle()
        await driver.press("v")
        assert "CAUTION:" in driver.flat()
        eye.look(driver.screen)
        assert not eye.cut, f"{len(eye.cut)}:\n{eye.cut[0]}"


@pytest.mark.parametrize("width", WIDTHS)
async def test_no_row_or_key_is_cut_beside_the_year_of_a_bike(
    open_app: Any, tmp_path: Path, width: int
) -> None:
    shop, store = settable_shop(tmp_path), memory_store()
    stock(store, shop.rules)
    size = (width, 24 if width == 80 else 40)
    async with open_app(shop, size=size, open_store=lambda: store) as driver:
        eye = Eye(driver)
        for where, *keys in (
            ("BikesScreen", "b"),
            ("SeasonScreen", "enter", "k"),
            ("SeasonScreen", "right"),
        ):
            await driver.burst(*keys)
            eye.look(where)
        assert re.search(r"│.*│ +\d+ ", driver.text()) and "└" in driver.text()
        assert not eye.cut, f"{len(eye.cut)}:\n{eye.cut[0]}"
