"""Tyre or damping under the arrow keys, held against the command that says it without a screen."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner

from diagnose.interview import Workshop
from tui.cli import main


def headless(*values: str) -> dict[str, Any]:
    """What `harsh --json` says of the same values."""
    result = CliRunner().invoke(main, ["harsh", "--no-ask", "--json", *values])
    assert result.exit_code == 0, result.output
    document: dict[str, Any] = json.loads(result.stdout)
    return document


async def test_nothing_measured_says_nothing(open_app: Any, offroad_shop: Workshop) -> None:
    async with open_app(offroad_shop) as driver:
        await driver.press("t")
        assert driver.screen == "HarshScreen"
        assert "Nothing measured at this end, so nothing can be said." in driver.text()
        assert "CAUTION" in driver.text()


async def test_arrows_change_the_answer_to_what_the_command_says(
    open_app: Any, offroad_shop: Workshop
) -> None:
    """Four steps up from 12.5 psi is 16.5 psi; two clicks in of twelve is ten."""
    async with open_app(offroad_shop) as driver:
        await driver.press("t", *["right"] * 4)
        assert "16.5 psi" in driver.text()
        await driver.press("down", "left", "left")
        text = driver.text()
        assert "10 clicks" in text
    document = headless("--front-tyre", "16.5 psi", "--fork-compression", "10 clicks")
    said = json.dumps(document)
    assert document["format"] == "badride-harshness"
    sentence = next(row for row in text.splitlines() if "of the extra harshness the tyre" in row)
    share = sentence.split("makes ")[1].split(" %")[0]
    assert f"makes {share} %" in said


async def test_a_value_goes_back_to_not_measured(open_app: Any, offroad_shop: Workshop) -> None:
    async with open_app(offroad_shop) as driver:
        await driver.press("t", "right", "n")
        assert "Nothing measured at this end" in driver.text()


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("1.2 bar", "1.2 bar"), ("soft", "is not a number"), ("9 mm", "give a pressure")],
)
async def test_a_typed_value_takes_any_unit_or_says_what_is_wrong(
    open_app: Any, offroad_shop: Workshop, typed: str, shown: str
) -> None:
    async with open_app(offroad_shop) as driver:
        await driver.press("t", "enter")
        await driver.write(typed)
        await driver.press("enter")
        assert shown in " ".join(driver.text().split())
        assert "Traceback" not in driver.text()


async def test_a_case_brings_its_readings(open_app: Any, offroad_shop: Workshop) -> None:
    async with open_app(offroad_shop) as driver:
        await driver.press("n")
        await driver.write("harsh")
        await driver.press("enter", "f", "enter", "enter")
        while driver.step.target != "front-tyre-gauge":
            await driver.press("?")
        await driver.write("25 psi")
        await driver.press("enter")
        assert driver.case.events[-1].observation == "front-tyre-gauge"
        await driver.press("t")
        assert driver.screen == "HarshScreen"
        assert "25 psi" in driver.text()
        before = driver.case
        await driver.press("escape")
        assert driver.case == before


async def test_front_and_rear_have_their_own_values(open_app: Any, offroad_shop: Workshop) -> None:
    async with open_app(offroad_shop) as driver:
        await driver.press("t", "right", "f")
        assert "Rear, on a square edge" in driver.text()
        assert "Nothing measured at this end" in driver.text()
        await driver.press("f")
        assert "13.5 psi" in driver.text()
