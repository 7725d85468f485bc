"""No answer, question, name of a cause or key column ends in an ellipsis, at any width."""

from __future__ import annotations

import re
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor

WIDTHS = [80, *(pytest.param(width, marks=pytest.mark.long) for width in (100, 120, 140, 200))]
STORY = (
    "fork knocks on braking bumps after I had the front wheel out, it was pressure-washed, "
    "rear sag 128"
)


def below_head(driver: Any) -> str:
    """The screen without the head of the case, which is said in full elsewhere, and the footer."""
    return "\n".join(driver.text().splitlines()[3:-1])


@pytest.mark.parametrize("width", WIDTHS)
async def test_nothing_that_is_asked_or_answered_is_cut(
    open_app: Any, offroad_assessor: Assessor, width: int
) -> None:
    async with open_app(offroad_assessor, size=(width, 24 if width == 80 else 40)) as driver:
        cut = []

        def look(where: str) -> None:
            assert driver.screen == where
            # quoted words have one between spaces
            if re.search(r"\S…", below_head(driver)):
                cut.append((where, below_head(driver)))

        await driver.burst("enter", *STORY, "enter")
        while driver.screen == "HeardScreen":
            look("HeardScreen")
            await driver.press("enter")
        if driver.screen == "ComplaintScreen":
            await driver.press("1", "1", "enter")
        look("CheckInScreen")
        await driver.press("enter")
        if driver.screen == "WarningScreen":
            await driver.press("exclamation_mark")
        for _ in range(3):
            look("InterviewScreen")
            await driver.press("p")
            look("PlanScreen")
            await driver.press("escape", "tab")
            look("SheetScreen")
            await driver.press("tab", "question_mark")
        assert not cut, f"{len(cut)}:\n" + "\n".join(cut[0])


async def test_a_window_without_room_for_bars_shows_none(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor, size=(20, 24)) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "question_mark")
        assert driver.app.return_code is None
        assert driver.screen == "InterviewScreen"
        assert not driver.app.screen.query_one("CausesBelow").display
