"""The drawing of a step: a key where there is one, all of it on a small screen, words without dots."""

from __future__ import annotations

from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.case.events import Case, Complained
from tui.interview.drawing_screen import DrawingScreen

CASE = Case({}, {}, (Complained("harsh", "rear"),))
SAG = Step("measure", "rear-race-sag-measured", None, 6)
SET_SAG = Step("correct", "set-rear-sag", None, 15)
NO_DRAWING = Step("inspect", "front-spoke-tap", None, 3)


async def turn_to(driver: Any, step: Step) -> None:
    driver.app.rooms.cases.turn_to(step)
    await driver.settle()
    assert driver.step.target == step.target


async def test_a_key_shows_the_drawing_of_a_step_that_has_one_and_leads_back(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(CASE)
        await turn_to(driver, SAG)
        before = driver.case
        await driver.press("enter")  # its cautions are read first
        assert "d drawing" in driver.flat()
        await driver.press("d")
        assert driver.screen == "DrawingScreen"
        assert "Where rear sag is measured" in driver.text()
        assert "A wheel hanging" in driver.text()
        await driver.press("d")
        assert driver.screen == "InterviewScreen"
        await driver.press("1", "0", "5", "d")
        assert driver.screen == "InterviewScreen"

        await turn_to(driver, SET_SAG)
        assert driver.screen == "FoundScreen"
        await driver.press("enter")  # what it is before the work is not read
        if "read first" in driver.flat():
            await driver.press("enter")
        assert "d drawing" in driver.flat()
        await driver.press("d")
        assert driver.screen == "DrawingScreen"
        await driver.press("escape")

        await turn_to(driver, NO_DRAWING)
        assert "drawing" not in driver.flat()
        await driver.press("d")
        assert driver.screen == "InterviewScreen"
        assert driver.case == before


async def test_the_picture_with_the_most_words_is_whole_at_80_by_24(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    name = max(rules.pictures, key=lambda name: len(rules.pictures[name].description))
    picture = rules.pictures[name]
    async with open_app(offroad_assessor) as driver:
        driver.app.push_screen(DrawingScreen(picture, rules.drawings[name]))
        await driver.settle()
        assert driver.app.screen.query_one("LineDrawing").size == (78, 17)
        assert " ".join(picture.description.split()) in driver.flat()
        assert picture.title in driver.text()


async def test_without_signs_for_dots_the_words_stand_alone(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    async with open_app(offroad_assessor, ascii_only=True) as driver:
        driver.app.push_screen(
            DrawingScreen(rules.pictures["rear-sag"], rules.drawings["rear-sag"])
        )
        await driver.settle()
        assert "A less B is the sag of the bike alone" in driver.flat()
        assert driver.sent().isascii()
        assert "??" not in driver.sent()
