"""What each screen lets a person do."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.cards.markup import markdown_card
from diagnose.case.events import Answered, Case, Complained, Corrected, Declined, Noted, Rode
from diagnose.case.files import load_case
from diagnose.words.cause_words import leading_causes
from diagnose.words.chances import percent
from rules.loading.pack_files import OFFROAD


async def test_a_correction_from_the_plan_is_done_ridden_and_counts(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Pick from the plan, do it, say how the ride went; a new complaint can be added then."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "p", "2")
        name = driver.plan[1]
        await driver.press("f")
        assert driver.case.events[-1] == Corrected(name)
        assert driver.step.kind == "confirm"
        assert driver.step.constraint == "one change at a time"
        await driver.press("5", "enter", "2", "1", "enter", "enter")
        assert driver.case.events[-1] == Complained("vibration", "deck")
        assert (driver.step.target, driver.step.constraint) == ("blade-wobble", "safety first")
        await driver.press("n")
        assert driver.step.kind == "confirm"
        await driver.press("4")
        assert driver.case.events[-1] == Rode("worse", "no-start")


async def test_a_correction_that_cannot_be_done_here_is_declined(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """`x` on the plan records it."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "p")
        name = driver.plan[0]
        await driver.press("x")
        assert driver.case.events[-1] == Declined(name)


async def test_cautions_stand_before_the_step(open_app: Any, mower_assessor: Assessor) -> None:
    """On the card and in the plan."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "2", "1", "enter", "enter")
        while driver.step.target != "blade-wobble":
            await driver.press("y")
        text = driver.text()
        assert 0 < text.index("blade wobble") < text.index("CAUTION: Pull the plug lead off")
        assert text.index("CAUTION: Pull the plug lead off") < text.index("[y] Yes")
        await driver.press("p")
        text = driver.text()
        assert "CAUTION" in text
        assert text.index("CAUTION: Pull the plug") < text.rindex("Swap it.")


@pytest.mark.long
async def test_the_bike_can_be_named_set_and_set_otherwise(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """A trait and a figure from the manual; in a case, another trait changes the next step."""
    async with open_app(mower_assessor) as driver:
        await driver.press("b", "a")
        assert "rule of thumb" in driver.text()
        await driver.press("e", *"Old", "enter")
        await driver.press("2", "enter", *"x", "enter")
        assert "not a number" in driver.text()
        await driver.press("backspace", *"0.9", "enter", *"page 3", "enter")
        await driver.press("1", "down", "down", "enter", "2")
        await driver.press("y", "b")
        bike = driver.app.rooms.bikes.picked
        assert (bike.name, bike.traits) == ("Old", {"engine": "electric"})
        assert str(bike.targets["plug-gap"].quantity) == "0.9 mm"
        assert "Old; Electric motor" in driver.text()
        await driver.press("enter", "enter", "1", "enter", "enter")
        assert driver.case.machine == {"engine": "electric"}
        assert driver.step.target == "charge"
        await driver.press("b", "down", "down", "enter", "1", "y")
        assert driver.case.machine == {"engine": "petrol"}
        assert driver.step.target != "charge"


@pytest.mark.long
async def test_a_kept_case_can_be_looked_at_and_gone_on_with(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Leaving keeps it; the list shows it; `g` goes on where it was."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "question_mark")
        events, step = driver.case.events, driver.step
        await driver.press("escape")
        assert driver.screen == "StartScreen"
        await driver.press("c", "enter")
        assert driver.screen == "JobCardScreen"
        await driver.press("g")
        assert driver.screen == "InterviewScreen"
        assert (driver.case.events, driver.step) == (events, step)


@pytest.mark.long
async def test_a_case_goes_to_a_file_and_comes_back(
    open_app: Any, mower_assessor: Assessor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Card and case file where the person says; an existing file is asked about once."""
    monkeypatch.chdir(tmp_path)
    async with open_app(mower_assessor) as driver:
        await driver.press(
            "enter", "enter", "2", "1", "enter", "enter", "n", "j", *"loud", "enter", "k"
        )
        await driver.press("ctrl+s", "enter")
        await driver.press("o", "ctrl+u", *"card.txt", "enter")
        assert "end the name in .md, .html or .pdf" in driver.text()
        await driver.press(*["backspace"] * 3, *"md", "enter")
        saved = load_case(mower_assessor.rules, tmp_path / "case.yaml")
        assert set(saved.events) == set(driver.case.events)
        card = (tmp_path / "card.md").read_text(encoding="utf-8")
        assert card == markdown_card(driver.app.screen.card)
        assert "- loud" in card
        await driver.press("ctrl+s", "enter")
        assert "There is such a file" in driver.text()
        await driver.press("escape", "escape", "escape", "o", "enter")
        assert driver.screen == "JobCardScreen"
        assert driver.case.events == saved.events


async def test_a_file_that_is_no_case_is_refused_in_words(
    open_app: Any, mower_assessor: Assessor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message names file and line; the app stays."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "case.yaml").write_text("case: 1\ncomplaints: [no-such]\n", encoding="utf-8")
    async with open_app(mower_assessor) as driver:
        await driver.press("o", "enter")
        assert driver.screen == "StartScreen"
        assert any("case.yaml:2" in words and "no-such" in words for words in driver.said)


@pytest.mark.long
async def test_example_cases_can_be_looked_at(open_app: Any, offroad_assessor: Assessor) -> None:
    """The worked cases that ship."""
    async with open_app(offroad_assessor, examples=OFFROAD / "worked_cases") as driver:
        await driver.press("k", "down", "enter")
        assert driver.screen == "JobCardScreen"
        assert driver.case.events


async def test_why_tells_what_the_answers_would_do(open_app: Any, mower_assessor: Assessor) -> None:
    """Every answer with what it would leave in front, the cost and the source."""
    async with open_app(mower_assessor, size=(100, 40)) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "w")
        text = driver.text()
        for words in ("What the answer would leave in front", "Fresh", "Costs", "Source:"):
            assert words in text


async def test_what_each_answer_did_is_one_key_from_the_top_of_why(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """And back to the top with the same key."""
    async with open_app(mower_assessor, size=(80, 12)) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "1", "w")
        for is_below in (False, True, False):
            assert ("Fresh: Is there fresh fuel in the tank?" in driver.text()) == is_below
            assert ("spent here should save" in driver.flat()) != is_below
            await driver.press("=")


async def test_a_plan_with_nothing_left_offers_nothing(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "3", "f", "1", "p")
        assert driver.plan == ()
        assert "No correction is worth trying" in driver.text()
        assert "f Done" not in driver.text()
        assert "[]" not in driver.text() and not driver.app.screen.query_one("#body").display
        await driver.press("f", "x", "1")
        assert driver.screen == "PlanScreen"


async def test_the_causes_in_front_have_bars_in_the_empty_rows_of_a_small_screen(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Whole names, with how likely each is and how each moved; what they leave over stands below
    them without a bar."""
    case = Case(events=(Complained("harsh", "front"), Complained("pushing")))
    async with open_app(offroad_assessor, size=(80, 24)) as driver:
        await driver.go_on_with(case.with_event(Answered("shows-mid-corner", state="no")))
        made = offroad_assessor.assess(driver.case)
        drawn = [line for line in driver.text().splitlines() if "█" in line]
        leading = leading_causes(made)
        for line, cause in zip(drawn, leading, strict=False):
            title = offroad_assessor.rules.causes[cause.cause].title
            assert line.strip().startswith(title)
            assert f" {percent(cause.probability)} " in line
            assert set(line.split("%")[1]) & set("▁▂▃▄▅▆▇█")
        assert len(drawn) >= len(leading) == 3
        await driver.press("question_mark", "question_mark")
        made = offroad_assessor.assess(driver.case)
        *_, last = [line for line in driver.text().splitlines() if " % " in line]
        assert "Something else (little told yet)" in last and "█" not in last
        assert f" {percent(made.ranking.nothing_listed)} " in last
        await driver.press("w", "tab")
        assert "Rear rider sag too much (too little preload)" in driver.flat()


async def test_a_message_covers_nothing_and_stays_on_its_screen(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """It has a row of its own above the keys; the next screen does not show it."""
    async with open_app(mower_assessor) as driver:
        await driver.press("b")
        driver.app.say("Kept.")
        await driver.settle()
        await driver.pilot.pause()
        screen = driver.app.screen
        (line,) = screen.query("StatusLine")
        assert "Kept." in driver.text() and line.region.bottom == 23
        for widget in (*screen.query("KeyButton, RowList, Footer"),):
            assert not line.region.overlaps(widget.region), widget
        await driver.press("escape")
        assert "Kept." not in driver.text()


async def test_what_takes_long_says_that_it_is_working(
    open_app: Any, mower_assessor: Assessor
) -> None:
    gate = threading.Event()
    async with open_app(mower_assessor) as driver:

        async def slow() -> None:
            await driver.app.work(lambda: gate.wait(20))
            driver.app.say("Kept.")

        driver.app.start(slow())
        for _ in range(200):
            await asyncio.sleep(0.02)
            if "working ..." in driver.text():
                break
        assert "working ..." in driver.text()
        gate.set()
        await driver.settle()
        assert "working ..." not in driver.text() and "Kept." in driver.text()


@pytest.mark.long
async def test_help_lists_every_key_of_the_screen(open_app: Any, mower_assessor: Assessor) -> None:
    """Taken from the bindings, so that none is missing."""
    async with open_app(mower_assessor, size=(100, 50)) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        words = {
            active.binding.tooltip or active.binding.description
            for active in driver.app.screen.active_bindings.values()
        }
        await driver.press("h")
        text = driver.text()
        assert all(word in text for word in words if word)


@pytest.mark.long
async def test_the_palette_has_every_action_and_answer(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Every binding with a name, and every answer to the step; picking one does it."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        names = await driver.palette()
        for words in ("Answer: Fresh", "Answer: Don't know", "Why this step", "Large targets",
                      "Dark or light", "Change an earlier answer", "Leave the program"):  # fmt: skip
            assert any(words in name for name in names), words
        target = driver.step.target
        await driver.press("ctrl+p", *"Smells", "down", "enter")
        await driver.pilot.pause()
        await driver.settle()
        assert driver.case.events[-1] == Answered(target, state="stale")


@pytest.mark.long
async def test_notes_and_rides_can_be_changed(open_app: Any, mower_assessor: Assessor) -> None:
    """Each in its own way; a correction can only be struck out."""
    async with open_app(mower_assessor) as driver:
        await driver.press(
            "enter", "enter", "2", "1", "enter", "enter", "j", *"a", "enter", "p", "f", "3"
        )
        assert driver.case.events[-1] == Rode("same")
        await driver.press("e", "enter", "2")
        assert driver.case.events[-1] == Rode("better")
        await driver.press("home", "down", "enter", "b", "enter")
        assert driver.case.events[1] == Noted("ab")
        await driver.press("home", "enter", "2")
        assert driver.case.events[0] == Complained("vibration", "handle")
