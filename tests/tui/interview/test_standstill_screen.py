"""The offer on the step screen when answers move nothing."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.standstill import Standstill
from diagnose.case.events import Answered, Case, Complained, Corrected
from tui.interview.step_card import StepCard
from tui.widgets.key_button import KeyButton


@pytest.fixture(scope="module")
def two_unknown(offroad_assessor: Assessor) -> Case:
    """One more answer that nobody knows, and nothing has moved for three."""
    case = Case({}, {}, (Complained("harsh", "rear"),))
    for _ in range(2):
        step = offroad_assessor.assess(case).step
        case = case.with_event(Answered(step.target))
    return case


def found(driver: Any) -> Standstill:
    stuck = driver.app.rooms.cases.current.assessed.standstill
    assert isinstance(stuck, Standstill)
    return stuck


async def test_the_third_answer_that_moves_nothing_brings_an_offer_beside_the_answers(
    open_app: Any, offroad_assessor: Assessor, two_unknown: Case
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(two_unknown)
        assert "moved nothing that" not in driver.flat()
        assert "Go on asking" not in " ".join(await driver.palette())
        await driver.press("?")
        stuck, flat = found(driver), driver.flat()
        assert (
            f"3 answers moved nothing that changes what to do. The sheet has {stuck.left} checks left."
            in flat
        )
        assert "[m] Best guess, 3 min: set the rear tyre pressure" in flat
        assert "[i] Settles most, 35 min: " in flat
        assert "[g] Go on asking" in flat
        assert "Go on asking" in await driver.palette()
        asked = driver.step.target
        await driver.press("?")
        assert driver.case.events[-1] == Answered(asked)
        assert "moved nothing that" not in driver.flat()


async def test_the_best_guess_is_a_step_like_any_and_escape_or_undo_leaves_it(
    open_app: Any, offroad_assessor: Assessor, two_unknown: Case
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(two_unknown)
        await driver.press("?")
        asked = driver.step
        for back in ("escape", "u"):
            await driver.press("m")
            text = driver.text()
            assert driver.step.target == "set-rear-tyre-pressure"
            assert 0 < text.index("CAUTION: The owner's manual") < text.index("[f] Done")
            assert "Go on asking" not in text
            await driver.press(back)
            assert driver.step == asked
            assert "Go on asking" in driver.text()
        await driver.press("m", "w")
        assert "Taken as the best guess" in driver.flat()
        await driver.press("escape", "f", "n")
        assert driver.case.events[-1] == Corrected("set-rear-tyre-pressure")
        assert driver.step.target == "rear-race-sag-measured"  # before the ride that proves it
        await driver.press("u", "u", "u")
        assert driver.case == two_unknown


async def test_what_settles_most_is_put_on_the_screen(
    open_app: Any, offroad_assessor: Assessor, two_unknown: Case
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(two_unknown)
        await driver.press("?")
        settling = found(driver).settling
        assert settling is not None
        await driver.press("i")
        assert driver.step == settling
        await driver.press("?")
        assert driver.case.events[-1] == Answered(settling.target)


async def test_going_on_takes_the_offer_away_and_leaves_the_question(
    open_app: Any, offroad_assessor: Assessor, two_unknown: Case
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(two_unknown)
        await driver.press("?")
        asked, case = driver.step, driver.case
        await driver.press("g")
        assert (driver.step, driver.case) == (asked, case)
        assert "moved nothing that" not in driver.flat()
        await driver.press("m", "i", "g")
        assert (driver.step, driver.case) == (asked, case)
        await driver.press("?", "?", "?")
        assert "6 answers moved nothing that" in driver.flat()


async def test_an_offer_can_be_touched(
    open_app: Any, offroad_assessor: Assessor, two_unknown: Case
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(two_unknown)
        await driver.press("?")
        button = next(b for b in driver.app.screen.query(KeyButton) if b.key == "m")
        await driver.pilot.click(button)
        await driver.settle()
        assert driver.step.kind == "correct"


@pytest.mark.parametrize(
    ("size", "large"),
    [
        ((80, 24), True),
        ((120, 40), False),
        pytest.param((80, 24), False, marks=pytest.mark.long),
        pytest.param((120, 40), True, marks=pytest.mark.long),
    ],
)
async def test_answers_offer_and_question_are_all_on_the_screen(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int], large: bool
) -> None:
    """Each time it is offered to a rider who knows nothing."""
    case = Case({}, {}, (Complained("headshake"),))
    for _ in range(2):
        case = case.with_event(Answered(offroad_assessor.assess(case).step.target))
    async with open_app(offroad_assessor, size=size, large=large) as driver:
        await driver.go_on_with(case)
        seen = 0
        while seen < 2:
            await driver.press("?")
            if driver.app.rooms.cases.current.assessed.standstill is None:
                continue
            seen += 1
            shown = [b for b in driver.app.screen.query(KeyButton) if b.display]
            assert {"?", "m", "i", "g"} <= {button.key for button in shown}
            for button in shown:
                assert button.region.height
                assert button.region.y > 0
                assert button.region.bottom < size[1]
            assert driver.app.screen.query_one(StepCard).size.height >= 3
