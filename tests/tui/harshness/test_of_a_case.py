"""Tyre or damping opened from a case: its readings, and what is typed there, are the same ones."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode, read_answer, standing
from diagnose.harshness.values import VALUES
from diagnose.records.bikes.bike import Bike, Setting
from rules.units.quantities import Quantity
from tests.tui.harshness.test_screens_harsh import ranges_stay_rough  # noqa: F401
from tui.harshness.value_sheet import Sheet, sheet_of

pytestmark = pytest.mark.usefixtures("ranges_stay_rough")
TOLD = {"rear-tyre-gauge": "18 psi", "rear-race-sag-measured": "12 cm"}


def harsh_rear(assessor: Assessor, *also: Answered) -> Case:
    read = [read_answer(assessor.rules, name, text) for name, text in TOLD.items()]
    return Case(events=(Complained("harsh", "rear"), *read, *also))


def row(driver: Any, name: str) -> str:
    text: str = driver.text()
    return next(line for line in text.splitlines() if line.strip().startswith(name))


def test_every_value_that_the_rule_base_asks_for_starts_from_the_case(
    offroad_assessor: Assessor,
) -> None:
    """As it was read; as it was told only where nobody read it."""
    rules, told = offroad_assessor.rules, 0
    asked = {n: o for n, o in sheet_of(rules, Case()).asked_by.items() if n in VALUES}
    assert len(asked) > 10
    for name, observation in asked.items():
        usual = Sheet().target(name)
        read, noted = Quantity(usual.value + 1, usual.unit), Quantity(usual.value + 2, usual.unit)
        was_read = Answered(observation, reading=read)
        sheet = sheet_of(rules, Case(events=(was_read,)))
        assert sheet.is_read(name) and sheet.measured(name) == read
        if f"{observation}-noted" in rules.observations:
            was_told = Answered(f"{observation}-noted", reading=noted)
            sheet = sheet_of(rules, Case(events=(was_told,)))
            assert sheet.measured(name) == noted and not sheet.is_read(name)
            sheet = sheet_of(rules, Case(events=(was_read, was_told)))
            assert sheet.measured(name) == read
            told += 1
    assert told > 3


async def test_it_starts_from_what_was_read_and_told(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    told = read_answer(offroad_assessor.rules, "shock-rebound-clicks-noted", "22")
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(harsh_rear(offroad_assessor, told))
        await driver.press("t")
        assert driver.screen == "HarshScreen"
        assert "Case readings: 2; Enter adds one; ? told, or tried by" in driver.text()
        assert "18 psi " in row(driver, "Tyre pressure")
        assert "12 cm " in row(driver, "Sag, rider on")
        assert "22 clicks?" in row(driver, "Rebound")


async def test_what_is_typed_is_the_cases_and_what_the_arrows_step_to_is_not(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(harsh_rear(offroad_assessor))
        await driver.press("t", "down", "enter", *"20", "enter")
        assert "20 clicks " in row(driver, "Low-speed")
        assert "Case readings: 3" in driver.text()
        await driver.press("right")
        assert "21 clicks?" in row(driver, "Low-speed")
        answers = standing(driver.case).answers
        assert str(answers["shock-low-speed-compression-clicks"].reading) == "20 clicks"
        await driver.press("escape")
        assert driver.screen == "InterviewScreen"
        # what was tried is there again, and what the sheet of the case takes is there as well
        await driver.press("t")
        assert "21 clicks?" in row(driver, "Low-speed")
        await driver.press("escape")
        driver.app.rooms.cases.record(
            read_answer(offroad_assessor.rules, "rear-tyre-gauge", "14 psi")
        )
        await driver.settle()
        await driver.press("t")
        assert "14 psi " in row(driver, "Tyre pressure")
        assert "20 clicks " in row(driver, "Low-speed")


async def test_a_figure_that_the_case_cannot_take_is_said_and_not_shown_as_read(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """No tyre holds that."""
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(harsh_rear(offroad_assessor))
        before = driver.case
        await driver.press("t", "enter", *"200", "enter")
        assert driver.case == before
        await driver.press("escape")
        assert "18 psi " in row(driver, "Tyre pressure")


async def test_a_closed_case_takes_no_reading(
    open_app: Any, open_shop: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor, open_store=open_shop) as driver:
        work = driver.app.rooms.cases.kept_case(harsh_rear(offroad_assessor))
        driver.app.start(driver.app.rooms.cases.look_at(work, go_on=True))
        await driver.settle()
        driver.app.rooms.cases.record(Corrected("set-rear-tyre-pressure"))
        await driver.settle()
        while driver.screen != "InterviewScreen":
            await driver.press("escape")
        driver.app.rooms.cases.record(Rode("gone"))
        await driver.settle()
        await driver.press("k", "f", "1")
        assert driver.app.rooms.cases.current.closed_as
        before = driver.case
        driver.app.rooms.open_harshness(of_case=True)
        await driver.settle()
        assert "Case readings: 2; ? told, or tried by" in driver.text()
        await driver.press("enter", *"15", "enter")
        assert "15 psi?" in row(driver, "Tyre pressure")
        assert driver.case == before


async def test_without_a_case_it_starts_from_the_record_of_the_bike_picked(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    noted = read_answer(offroad_assessor.rules, "rear-race-sag-measured", "118 mm")
    on_record = {noted.observation: Setting(1, noted, date(2026, 5, 1))}
    async with open_app(offroad_assessor) as driver:
        driver.app.rooms.bikes.picked = Bike("Demo", now=on_record)
        await driver.press("t")
        assert "On record: 1; ? told, or tried by" in driver.text()
        assert "118 mm " in row(driver, "Sag, rider on")
