"""Who asks: one key on the first screen, kept, and part of the case that begins."""

from __future__ import annotations

from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.case.events import standing


async def test_one_key_changes_who_asks_and_the_case_begins_with_it(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        for key, marked in (
            ("", "in a workshop"),
            ("e", "in a home garage"),
            ("e", "on the trail"),
        ):
            if key:
                await driver.press(key)
            text = driver.flat()
            assert f"[{marked}]" in text
            for title in ("in a workshop", "in a home garage", "on the trail"):
                assert (f"[{title}]" in text) == (title == marked) and title in text
        await driver.press("e", "e")
        await driver.press("e", "e", "e")
        assert driver.app.shop.person == "home"
        await driver.press("enter", "enter", "1", "1", "enter", "enter")
        assert standing(driver.case).person == "home"


async def test_a_rule_base_without_people_says_so(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        button = next(b for b in driver.app.screen.query("KeyButton") if b.key == "e")
        assert not button.display
        await driver.press("e")
        assert driver.app.shop.person == ""
