"""The question stands first; each caution in full once per case, then in one line."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Complained, Corrected

KNOCK = Case({}, {}, (Complained("knock", "front"),))
SIZES = [(80, 24), *(pytest.param(size, marks=pytest.mark.long) for size in ((60, 20), (120, 40)))]


def cautioned(shop: Assessor) -> str:
    """A correction with many cautions and steps."""
    entries = shop.rules.corrections
    return max(entries, key=lambda name: (len(entries[name].cautions), len(entries[name].steps)))


async def at_work(driver: Any, name: str) -> None:
    """Put a correction on the card."""
    await driver.go_on_with(KNOCK)
    if driver.screen == "WarningScreen":
        await driver.press("exclamation_mark")
    minutes = driver.app.shop.rules.corrections[name].minutes
    driver.app.rooms.cases.turn_to(Step("correct", name, None, minutes))
    await driver.settle()


@pytest.mark.parametrize("size", SIZES)
async def test_the_title_stays_in_view_and_done_shows_the_steps_first(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    name = cautioned(offroad_assessor)
    entry = offroad_assessor.rules.corrections[name]
    async with open_app(offroad_assessor, size=size) as driver:
        await at_work(driver, name)
        flat = driver.flat()
        assert 0 < flat.index(entry.title) < flat.index("CAUTION:")
        last = entry.steps[-1].split()[-1]
        seen = driver.flat()
        for _ in range(30):
            if driver.case.events[-1] == Corrected(name):
                break
            assert entry.title in driver.flat()
            seen += driver.flat()
            await driver.press("f")
        assert driver.case.events[-1] == Corrected(name)
        assert last in seen


@pytest.mark.parametrize("size", SIZES)
async def test_a_caution_read_at_one_step_takes_one_line_at_the_next(
    open_app: Any, mower_assessor: Assessor, size: tuple[int, int]
) -> None:
    rules = mower_assessor.rules
    name = next(n for n, entry in rules.corrections.items() if "plug-lead" in entry.cautions)
    async with open_app(mower_assessor, size=size) as driver:
        await driver.press("enter", "enter", "2", "1", "enter", "enter")
        assert "CAUTION: Pull the plug lead off" in driver.flat()
        await driver.press("question_mark")
        assert driver.case.events[-1] == Answered("blade-wobble")
        driver.app.rooms.cases.turn_to(Step("correct", name, None, 5))
        await driver.settle()
        before = driver.flat()
        assert "1 caution as before: v" in before
        assert "CAUTION: Pull the plug lead off" not in before
        await driver.press("v")
        assert "CAUTION: Pull the plug lead off" in driver.flat()
        await driver.press("v", "u")
        while driver.step.target != "blade-wobble":
            await driver.press("u")
        assert "CAUTION: Pull the plug lead off" in driver.flat()
