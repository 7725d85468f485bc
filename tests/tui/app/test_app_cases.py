"""Whole cases from first key to closed case, against the same facts without a screen."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode
from rules.rulebase import RuleBase

OBSERVING = ("ask", "measure", "inspect", "ride-test")
READ_FIRST = ("[Enter] Next page", "[Enter] Read; on to the work")
BETWEEN = {"WarningScreen": "exclamation_mark", "SetScreen": "y"}
"""What a person does on screens that come between two steps: read it, and set what was advised."""


def the_key(rules: RuleBase, step: Any, truth: dict[str, str]) -> list[str]:
    """The keys that answer a step truly: what `truth` holds, else the normal state."""
    if step.kind == "measure":
        return [*truth[step.target], "enter"] if step.target in truth else ["question_mark"]
    entry = rules.observations[step.target]
    state = truth.get(step.target, entry.normal)
    if set(entry.states) == {"no", "yes"}:
        return [state[0]]
    return [str(list(entry.states).index(state) + 1)]


async def drive(driver: Any, rules: RuleBase, truth: dict[str, str], cured_by: str) -> list[str]:
    """Read what is to be read first and answer, until the case is to be closed. Returns the kinds
    of step met."""
    kinds = []
    for _ in range(120):
        step = driver.step
        kinds.append(step.kind)
        if driver.screen in BETWEEN:
            await driver.press(BETWEEN[driver.screen])
        elif any(key in driver.flat() for key in READ_FIRST):
            await driver.press("enter")
        elif step.kind in OBSERVING:
            await driver.press(*the_key(rules, step, truth))
        elif step.kind == "correct":
            await driver.press("f")
        elif step.kind == "confirm":
            await driver.press("1" if step.target == cured_by else "3")
        else:
            return kinds
    raise AssertionError(f"no end: {kinds}")


async def test_a_mower_case_closes_with_the_headless_result(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Two keys to the first question; then answers, correction, ride, job card, start."""
    rules = mower_assessor.rules
    async with open_app(mower_assessor) as driver:
        await driver.press("enter")
        assert driver.screen == "StoryScreen"
        await driver.press("enter")
        assert driver.screen == "ComplaintScreen"
        await driver.press("1", "enter", "enter")
        assert driver.screen == "InterviewScreen"
        kinds = await drive(driver, rules, {"tank-look": "empty"}, "fill-up")
        assert kinds[-1] == "close"
        assert {"correct", "confirm"} <= set(kinds)

        events = driver.case.events
        assert events[0] == Complained("no-start")
        assert events[-2:] == (Corrected("fill-up"), Rode("gone"))
        assert Answered("tank-look", state="empty") in events
        headless = mower_assessor.assess(Case({}, {}, events))
        assert driver.app.rooms.cases.at_work.current.assessment.ranking == headless.ranking
        assert driver.step == headless.step

        await driver.press("1")
        assert "Case 1 closes as: proven" in driver.text()
        await driver.press("1")
        assert driver.screen == "JobCardScreen"
        card = driver.card()
        for word in ("Will not start", "Out of fuel", "Fill with fresh fuel", "proven by a ride"):
            assert word in card
        await driver.press("escape")
        assert driver.screen == "StartScreen"


@pytest.mark.long
@pytest.mark.parametrize(
    ("complaint", "end", "truth", "cured_by"),
    [
        ("harsh", "1", {"front-tyre-gauge": "26 psi"}, "set-front-tyre-pressure"),
        ("seal-weep", "1", {}, ""),
    ],
)
async def test_an_offroad_case_gives_the_headless_result(
    open_app: Any,
    offroad_assessor: Assessor,
    complaint: str,
    end: str,
    truth: dict[str, str],
    cured_by: str,
) -> None:
    """Searched by the rider's word, answered on 80x24, assessed as without a screen."""
    rules = offroad_assessor.rules
    number = list(rules.complaints).index(complaint) + 1
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", str(number), end, "enter", "enter")
        kinds = await drive(driver, rules, truth, cured_by)
        assert kinds[-1] in ("close", "hand-over")
        headless = offroad_assessor.assess(Case({}, {}, driver.case.events))
        assert driver.app.rooms.cases.at_work.current.assessment.ranking == headless.ranking
        assert driver.step == headless.step
