"""The question stands first; each caution in full once per case, then in one line."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode
from diagnose.words.step_words import step_text

KNOCK = Case({}, {}, (Complained("knock", "front"),))
SIZES = [(80, 24), (60, 20), pytest.param((120, 40), marks=pytest.mark.long)]


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
            await driver.press("f" if "[f] Done" in driver.flat() else "enter")
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
        assert "1 caution: v" in before
        assert "CAUTION: Pull the plug lead off" not in before
        await driver.press("v")
        assert "CAUTION: Pull the plug lead off" in driver.flat()
        await driver.press("v", "u")
        while driver.step.target != "blade-wobble":
            await driver.press("u")
        assert "CAUTION: Pull the plug lead off" in driver.flat()


async def test_cautions_that_leave_no_room_are_read_first_and_then_the_work_stands_whole(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    name = cautioned(offroad_assessor)
    rules = offroad_assessor.rules
    entry = rules.corrections[name]
    async with open_app(offroad_assessor, size=(80, 24)) as driver:
        await at_work(driver, name)
        said = driver.case
        first = driver.flat()
        assert "read first: " in first and "[f] Done" not in first
        assert entry.steps[0] not in first
        await driver.press("f", "1")
        assert driver.case == said
        seen, pages = first, int(first.split("Page 1 of ")[1][0])
        assert pages > 1 and "Enter: page 2" in first and "[Enter] Next page" in first
        for page in range(2, pages + 1):
            await driver.press("enter")
            seen += driver.flat()
            assert f"Page {page} of {pages}" in driver.flat()
        assert "Enter: on to the work" in driver.flat()
        assert "[Enter] Read; on to the work" in driver.flat()
        await driver.press("up")
        assert f"Page {pages - 1} of {pages}" in driver.flat()
        await driver.press("enter", "enter")
        count = len(step_text(rules, said, driver.step).cautions)
        assert seen.count("CAUTION:") >= count
        work = driver.flat()
        assert f"{count} cautions: v" in work and "CAUTION:" not in work
        assert " ".join(entry.steps[0].split()) in work and "[f] Done" in work
        # once per case: the same step again has them in one line
        step = driver.step
        await driver.press("escape")
        driver.app.rooms.cases.turn_to(step)
        await driver.settle()
        assert "CAUTION:" not in driver.flat()
        await driver.press("v")
        assert "CAUTION:" in driver.flat()


async def test_the_sheet_reads_them_first_too(open_app: Any, offroad_assessor: Assessor) -> None:
    async with open_app(offroad_assessor, size=(80, 24)) as driver:
        await driver.go_on_with(Case(events=(Complained("harsh", "rear"),)))
        await driver.press("tab", "enter")
        for _ in range(20):
            if "read first: " in driver.flat():
                break
            await driver.press("escape", "down", "enter")
        assert driver.screen == "SheetScreen" and "CAUTION:" in driver.flat()
        for _ in range(5):
            if "read first: " in driver.flat():
                await driver.press("enter")
        assert "caution" in driver.flat()
        assert ": v" in driver.flat() and "CAUTION:" not in driver.flat()


async def test_a_proven_cure_has_no_suspects_beside_it(
    open_app: Any, mower_assessor: Assessor
) -> None:
    done = (Complained("no-start"), Corrected("fill-up"), Rode("gone"))
    for size in ((80, 24), (120, 40)):
        async with open_app(mower_assessor, size=size) as driver:
            await driver.go_on_with(Case(events=done))
            assert driver.step.kind == "close"
            assert " % " not in driver.flat() and "How likely each" not in driver.flat()
