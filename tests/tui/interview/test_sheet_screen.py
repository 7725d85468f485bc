"""The case as a list to fill in, on the screen."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.sheet import sheet
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    read_answer,
    read_target,
)
from diagnose.words.sheet_words import row_card, row_text
from diagnose.words.step_words import step_text
from tests.tui.conftest import Driver
from tui.interview.sheet_columns import sheet_lines
from tui.widgets.row_list import RowList

NO_START = Complained("no-start")


def lines(driver: Driver) -> list[str]:
    """The rows of the list."""
    return [str(option.prompt) for option in driver.app.screen.query_one(RowList).options]


def marked(driver: Driver) -> str:
    """The row marked."""
    at = driver.app.screen.query_one(RowList).highlighted
    assert at is not None
    return lines(driver)[at]


async def open_sheet(driver: Driver, *events: Any, targets: Any = None) -> None:
    await driver.go_on_with(Case({}, targets or {}, events))
    if driver.screen == "WarningScreen":
        await driver.press("exclamation_mark")
    await driver.press("tab")
    assert driver.screen == "SheetScreen"


async def test_tab_goes_to_the_sheet_and_back(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        assert lines(driver)[0].startswith("NEXT    Is there fresh fuel")
        assert "1 2 3 ?" in lines(driver)[0]
        assert "So far: " in driver.text()
        await driver.press("tab")
        assert driver.screen == "InterviewScreen"
        await driver.press("tab", "escape")
        assert driver.screen == "InterviewScreen"


async def test_rows_are_filled_in_place_and_the_order_follows(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """A state by its key, a reading by typing it; a number alone has the unit asked for."""
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        await driver.press("1")
        assert driver.case.events[-1] == Answered("tank-look", state="fresh")
        while "Plug gap" not in marked(driver):
            await driver.press("down")
        before = driver.flat()
        await driver.press(*"0.9")
        assert "0.9_" in marked(driver)
        await driver.press("enter")
        assert driver.case.events[-1] == read_answer(
            mower_assessor.rules, "plug-gap-reading", "0.9 mm"
        )
        said = [line for line in lines(driver) if "0.9 mm" in line]
        assert len(said) == 1 and said[0].startswith("SAID")
        so_far = [text[text.index("So far") :][:60] for text in (before, driver.flat())]
        assert so_far[0] != so_far[1]


async def test_letters_after_a_digit_are_the_unit(open_app: Any, mower_assessor: Assessor) -> None:
    """And what is no reading is refused in words, with the row still marked."""
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        while "Plug gap" not in marked(driver):
            await driver.press("down")
        await driver.burst(*"9 psi", "enter")
        assert driver.case.events == (NO_START,)
        assert "9 psi_" in marked(driver) and "psi" in driver.flat()
        await driver.press("escape")
        assert "____ mm" in marked(driver)
        await driver.burst(*"0.09 cm", "enter")
        assert driver.case.events[-1] == read_answer(
            mower_assessor.rules, "plug-gap-reading", "0.09 cm"
        )


async def test_from_the_next_step_the_mark_goes_to_the_next_one(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """From any other row to the one that followed it; undo goes back to the row."""
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        await driver.press("1")
        assert marked(driver).startswith("NEXT")
        while "Does the plug spark" not in marked(driver):
            await driver.press("down")
        place = lines(driver).index(marked(driver))
        following = lines(driver)[place + 1]
        await driver.press("question_mark")
        assert driver.case.events[-1] == Answered("spark-seen")
        assert marked(driver)[8:30] == following[8:30]
        await driver.press("u")
        assert "Does the plug spark" in marked(driver)


async def test_a_check_with_a_caution_is_answered_once_that_was_read(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, Complained("vibration", "deck"))
        assert "blade wobble" in marked(driver)
        assert "[y]" not in driver.text()
        await driver.press("n")
        assert driver.case.events == (Complained("vibration", "deck"),)
        assert "Not yet. Enter shows its 1 caution" in driver.flat()
        await driver.press("enter")
        text = driver.text()
        assert 0 < text.index("blade wobble") < text.index("CAUTION: Pull the plug lead off")
        assert text.index("CAUTION: Pull the plug lead off") < text.index("[y] Yes")
        await driver.press("escape")
        assert driver.screen == "SheetScreen"
        await driver.press("n")
        assert driver.case.events[-1] == Answered("blade-wobble", state="no")


async def test_a_typed_ahead_reading_never_answers_what_was_not_read(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    targets = dict([read_target(offroad_assessor.rules, "chain-slack", "35 mm")])
    async with open_app(offroad_assessor) as driver:
        await open_sheet(driver, Complained("harsh", "rear"), targets=targets)
        while "Chain slack by the manual" not in marked(driver):
            await driver.press("down")
        await driver.burst(*"12.5", "enter", *"9", "enter", *"35", "enter")
        readings = [event.reading for event in driver.case.events[1:]]
        assert [str(reading) for reading in readings] == ["35 mm"]


async def test_what_was_found_is_put_right_after_its_cautions(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    targets = dict([read_target(rules, "rear-tyre-pressure", "13 psi")])
    hard = read_answer(rules, "rear-tyre-gauge", "25 psi")
    async with open_app(offroad_assessor) as driver:
        await open_sheet(driver, Complained("harsh", "rear"), hard, targets=targets)
        assert marked(driver).startswith("FOUND   Rear tyre pressure")
        assert "25 psi → 13 psi" in marked(driver) and "put right" in marked(driver)
        await driver.press("f")
        assert driver.case.events[-1] == hard
        await driver.press("enter")
        assert "CAUTION" in driver.text()
        if "read first" in driver.flat():
            await driver.press("f")
            assert driver.case.events[-1] == hard
            await driver.press("enter")
        await driver.press("f", "n")
        assert driver.case.events[-1] == Corrected("set-rear-tyre-pressure")
        assert "Next: Ride to prove it" in driver.flat()
        await driver.press("u", "enter", "x")
        assert driver.case.events[-1] == Declined("set-rear-tyre-pressure")


async def test_what_was_said_is_changed(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START, Answered("tank-look", state="stale"))
        while not marked(driver).startswith("SAID"):
            await driver.press("down")
        await driver.press("enter")
        assert driver.screen == "AnswerScreen"
        await driver.press("1")
        assert driver.case.events == (NO_START, Answered("tank-look", state="fresh"))
        assert "Fresh" in marked(driver)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_what_forbids_riding_is_the_first_line(
    open_app: Any, mower_assessor: Assessor, size: tuple[int, int]
) -> None:
    """And every row can be reached, with the one marked in view."""
    async with open_app(mower_assessor, size=size) as driver:
        shakes = Complained("vibration", "deck")
        await open_sheet(driver, shakes, NO_START, Answered("blade-wobble", state="yes"))
        assert driver.text().splitlines()[0].strip().startswith("DO NOT RIDE: The blade is loose.")
        for _ in lines(driver):
            assert marked(driver)[8:24].strip() in driver.text()
            await driver.press("down")
        assert marked(driver) == lines(driver)[-1]


async def test_every_row_is_reached_by_name(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        names = await driver.palette()
        assert any("Settles: Plug gap" in name for name in names)
        assert any("Answer: Fresh" in name for name in names)


async def test_other_screens_lead_back_to_the_sheet(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor) as driver:
        await open_sheet(driver, NO_START)
        for key, screen in (("p", "PlanScreen"), ("w tab", "CausesScreen"), ("w", "WhyScreen")):
            await driver.press(*key.split())
            assert driver.screen == screen
            await driver.press("escape")
            assert driver.screen == "SheetScreen"


async def test_why_on_an_open_row_is_about_that_row(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(Case(events=(Complained("harsh", "rear"),)))
        await driver.press("w")
        asked = step_text(offroad_assessor.rules, driver.case, driver.step).heading
        assert f"Why now: {asked}" in driver.flat()
        await driver.press("escape", "s", "down", "enter")
        row = driver.app.screen._row
        assert row.about != driver.step.target
        await driver.press("w")
        words = row_card(offroad_assessor.rules, driver.case, row)
        assert f"What it would tell: {words.heading}" in driver.flat()
        assert asked not in driver.flat().split("Next best")[0]
        await driver.press("escape")
        assert driver.screen == "SheetScreen"


def test_what_rows_below_one_another_are_good_for_alike_stands_once_in_a_part(
    offroad_assessor: Assessor,
) -> None:
    """Each part begins with its own; none is lost."""
    rules, case = offroad_assessor.rules, Case(events=(Complained("harsh", "rear"),))
    rows = sheet(offroad_assessor, offroad_assessor.assess(case))
    said = [str(line).split("min", 1)[-1] for line in sheet_lines(rules, case, rows, 200)]
    part = use = ""
    for row, line in zip(rows.rows, said, strict=True):
        own = row_text(rules, case, row).use
        is_first = (row.kind, own) != (part, use)
        assert ("".join(own.split()) in "".join(line.split())) == (is_first or not own), own
        part, use = row.kind, own
    assert len({row.kind for row in rows.rows}) > 1


async def test_rows_are_short_and_the_one_marked_stands_whole_below(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """At 80 columns nearly every row has one line; nothing is cut, and the minutes are said once to
    be minutes."""
    async with open_app(offroad_assessor) as driver:
        await open_sheet(driver, Complained("harsh", "rear"))
        shown = lines(driver)
        assert sum("\n" in line for line in shown) <= len(shown) // 5
        assert [" min" in line for line in shown].count(True) == 1
        assert not any("…" in line or "..." in line for line in shown)
        await driver.press("down")
        about = driver.app.screen._row.about
        whole = offroad_assessor.rules.observations[about].ask
        settles = row_text(offroad_assessor.rules, driver.case, driver.app.screen._row).use
        short = offroad_assessor.rules.observations[about].short
        assert short is not None and short.capitalize() in marked(driver)
        assert whole in driver.flat() and whole not in marked(driver)
        assert settles and settles.split(" % ")[1] in driver.flat().lower()
