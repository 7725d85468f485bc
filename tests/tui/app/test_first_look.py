"""How much there is to read at a first look on a small screen, but for texts that one asks for."""

from __future__ import annotations

import re
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.words.step_words import step_text

MOST_WORDS = 90
MOST_IN_A_LIST = 125
AS_A_LIST = ("JobCardScreen", "HarshScreen")
GREASED = "back end went harsh after I greased the linkage"


def words(driver: Any) -> int:
    """The words on the screen; a key and a unit of one letter are none."""
    return len(re.findall(r"[^\W\d_]{2,}", driver.text()))


def words_of_how(driver: Any) -> int:
    """The words of how the step on screen is done, which one reads when one does it."""
    step = step_text(driver.app.shop.rules, driver.case, driver.step)
    texts = (*step.how, *step.tools, *step.cautions, step.note)
    return sum(len(re.findall(r"[^\W\d_]{2,}", text)) for text in texts)


def words_shown_of_how(driver: Any) -> int:
    """The words that are in view of how the step or work marked is done."""
    card = driver.app.screen.query_one("StepCard > .text")
    region = card.region.intersection(card.parent.region)
    lines = driver.text().splitlines()[region.y : region.bottom]
    return len(re.findall(r"[^\W\d_]{2,}", "\n".join(lines)))


async def test_the_first_pages_of_a_case_are_taken_in_at_one_look(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    counted: dict[str, int] = {}
    async with open_app(offroad_assessor) as driver:
        counted["start"] = words(driver)
        await driver.press("enter")
        counted["story"] = words(driver)
        await driver.burst(*["space" if key == " " else key for key in GREASED], "enter")
        counted["heard"] = words(driver)
        await driver.press("enter")
        assert driver.screen == "CheckInScreen"
        counted["check-in"] = words(driver)
        assert driver.app.screen.query_one("#page").max_scroll_y == 0
        await driver.press("enter")
        counted["question"] = words(driver) - words_of_how(driver)
        for key, screen in (("b", "bikes"), ("c", "cases"), ("l", "learn")):
            while driver.screen != "StartScreen":
                await driver.press("escape")
            await driver.press(key)
            counted[screen] = words(driver)
    assert {screen: count for screen, count in counted.items() if count >= MOST_WORDS} == {}


async def test_the_pages_beside_a_question_are_taken_in_at_one_look(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Before there is a reading in the case, and after. The card and what a reading makes of every
    ride are lists that one asked for, and are held to what they come to."""
    counted: dict[str, int] = {}
    lists: dict[str, int] = {}
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter")
        await driver.burst(*["space" if key == " " else key for key in GREASED], "enter")
        await driver.press("enter", "enter")
        assert driver.step.kind == "measure"
        for with_reading in (False, True):
            if with_reading:
                await driver.press(*"18", "enter")
            for key in ("s", "w", "p", "k", "t", "e", "r"):
                await driver.press(key)
                screen_name = driver.screen
                name = f"{screen_name}, {'with' if with_reading else 'no'} reading"
                counted[name] = words(driver)
                if key in ("s", "p"):
                    counted[name] -= words_shown_of_how(driver)
                if screen_name in AS_A_LIST and (with_reading or key != "t"):
                    lists[name] = counted.pop(name)
                await driver.press("escape")
                assert driver.screen == "InterviewScreen"
    assert {screen: count for screen, count in counted.items() if count >= MOST_WORDS} == {}
    assert {screen: count for screen, count in lists.items() if count >= MOST_IN_A_LIST} == {}
