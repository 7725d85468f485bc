"""The first pages of a case: told, heard, checked in; and a fact volunteered later."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.case.events import Answered, Case, Complained, Told, standing
from rules.units.quantities import parse_quantity

GREASED = "back end went harsh after I greased the linkage"
HEARD = (Complained("harsh", "rear"), Answered("changed-linkage-apart", "yes"))
SIZES = [(80, 24), pytest.param((60, 20), marks=pytest.mark.long)]


def _box_of_the_tyre(shop: Assessor) -> str:
    """The number of its reading on the page of ticks."""
    page = check_in(shop, Case(events=(Told(GREASED), *HEARD)))
    return str(page.readings.index("rear-tyre-gauge") + 1)


def _keys(text: str) -> list[str]:
    return ["space" if letter == " " else letter for letter in text]


@pytest.mark.parametrize("size", SIZES)
async def test_a_story_is_heard_checked_in_and_undone(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    async with open_app(offroad_assessor, size=size) as driver:
        await driver.press("enter")
        assert "What happened?" in driver.text()
        await driver.burst(*GREASED, "enter")
        assert driver.screen == "HeardScreen"
        text = driver.text()
        for words in ("1 ✓ Harsh (rear)", "“harsh”", "“after … greased … linkage”"):
            assert words in text
        await driver.press("enter")
        assert driver.screen == "CheckInScreen"
        assert "[a] [x] linkage or shock unbolted" in driver.text()
        await driver.press("enter")
        assert driver.screen == "InterviewScreen"
        assert driver.case.events == (Told(GREASED), *HEARD)
        await driver.press("u")
        assert driver.screen == "HeardScreen"
        await driver.press("2", "enter", "enter")
        assert driver.case.events == (Told(GREASED), HEARD[0])
        await driver.press("k")
        assert GREASED in driver.card().replace("\n", " ")


async def test_going_back_page_by_page_keeps_the_words_and_leaves_no_case(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *GREASED, "enter", "enter")
        for screen in ("CheckInScreen", "HeardScreen", "StoryScreen"):
            assert driver.screen == screen
            if screen == "StoryScreen":
                assert GREASED in driver.text()
            await driver.press("escape")
        assert driver.screen == "StartScreen"
        assert driver.case.events == ()


async def test_what_is_open_is_asked_with_one_key(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *"beats", "space", *"me", "space", *"up", "enter")
        assert "Which end is it" in driver.text()
        await driver.press("3")
        assert "Harsh (rear)" in driver.text() and "Which end is it" not in driver.text()
        await driver.press("plus", *"14", "space", *"psi", "space", *"rear", "enter")
        assert "14 psi" in driver.text()
        await driver.press("enter", "enter")
        readings = [str(a.reading) for a in standing(driver.case).answers.values()]
        assert readings == ["14 psi"]


async def test_what_does_not_count_is_shown_with_why(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *_keys(f"{GREASED}. my mate has 105 mm of rear sag"), "enter")
        assert "Not taken (of another bike)" in driver.flat()
        await driver.press("3", "enter", "enter")
        assert driver.case.events[1:] == HEARD


async def test_a_story_without_a_complaint_leads_to_the_list(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *"14", "space", *"psi", "space", *"rear", "enter")
        assert "No complaint is understood in it." in driver.flat()
        await driver.press("enter")
        assert driver.screen == "ComplaintScreen"
        await driver.press("1", "1", "enter", "enter")
        assert driver.case.events[0] == Told("14 psi rear")
        assert driver.case.events[-1] == Complained("harsh", "front")


async def test_the_list_is_one_key_away(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        for key in ("enter", "question_mark"):
            await driver.press("enter", key)
            assert driver.screen == "ComplaintScreen"
            await driver.press("escape", "escape")
            assert driver.screen == "StartScreen"


@pytest.mark.parametrize("size", SIZES)
async def test_ticks_none_of_the_others_and_readings_are_recorded_and_not_asked_again(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    async with open_app(offroad_assessor, size=size) as driver:
        await driver.burst("enter", *GREASED, "enter", "enter")
        page = check_in(offroad_assessor, Case(events=(Told(GREASED), *HEARD)))
        await driver.press("b", "0", "j", "k", "k", "1", *"20", "enter", "enter")
        answers = standing(driver.case).answers
        unit = offroad_assessor.rules.observations[page.readings[0]].unit
        assert unit is not None
        assert answers[page.since[0]].state == "yes"
        assert answers[page.since[1]].state == "yes"
        assert {answers[name].state for name in page.since[2:]} == {"no"}
        assert answers[page.shows[0]].state == "yes"
        assert not set(page.shows[1:]) & set(answers)
        assert answers[page.readings[0]].reading == parse_quantity("20", unit)
        asked = {option.observation for option in
                 driver.app.rooms.cases.current.assessed.assessment.options}  # fmt: skip
        assert not asked & {*page.since, page.shows[0], page.readings[0]}


async def test_words_typed_into_a_reading_tick_nothing_and_can_say_it_is_not_known(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *_keys(GREASED), "enter", "enter")
        page = check_in(offroad_assessor, Case(events=(Told(GREASED), *HEARD)))
        ticked = driver.text().count("] [x] ")
        assert "[Enter] Go on" in driver.text()
        await driver.press("1")
        assert "[Enter] Take this reading" in driver.text()
        await driver.press(*"soft", "enter")
        assert driver.screen == "CheckInScreen" and driver.text().count("] [x] ") == ticked
        await driver.press("ctrl+u", *"dunno", "enter")
        assert "[Enter] Go on" in driver.text()
        await driver.press("2", "question_mark", "enter", "enter")
        assert driver.case.events == (
            Told(GREASED),
            *HEARD,
            Answered(page.readings[0]),
            Answered(page.readings[1]),
        )


async def test_ticks_stand_after_going_back(open_app: Any, offroad_assessor: Assessor) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *_keys(GREASED), "enter", "enter")
        await driver.press("b", _box_of_the_tyre(offroad_assessor), *"20", "escape")
        assert driver.screen == "CheckInScreen"
        await driver.press("escape", "enter")
        assert "[b] [x]" in driver.text() and "20 psi" in driver.text()
        await driver.press("enter")
        said = driver.case.events
        # a tick, the wheel that it brings, and a reading
        assert len(said) == len((Told(GREASED), *HEARD)) + 3
        await driver.press("u", "enter")
        assert driver.screen == "CheckInScreen"
        assert "[b] [x]" in driver.text() and "20 psi" in driver.text()
        await driver.press("enter")
        assert driver.case.events == said


async def test_a_reading_that_cannot_be_is_refused_on_the_page(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *GREASED, "enter", "enter")
        await driver.press(_box_of_the_tyre(offroad_assessor), *"9999999", "enter")
        assert driver.screen == "CheckInScreen"
        assert "cannot be right" in driver.flat()
        await driver.press(*"98", "enter")
        assert "cannot be right" in driver.flat() and "999998" not in driver.flat()
        await driver.press(*"13", "enter")
        assert "13 psi" in driver.flat() and "cannot be right" not in driver.flat()
        await driver.press("enter")
        assert driver.screen == "InterviewScreen"
        assert [str(a.reading) for a in driver.case.events[len(HEARD) + 1 :]] == ["13 psi"]


async def test_a_reading_in_the_story_is_marked_where_its_box_always_is(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    box = _box_of_the_tyre(offroad_assessor)
    async with open_app(offroad_assessor) as driver:
        await driver.burst("enter", *_keys(f"{GREASED}, 14 psi in the rear tyre"), "enter", "enter")
        (row,) = [line for line in driver.text().splitlines() if "Rear tyre pr" in line]
        assert f"[{box}]" in row and "14 psi" in row and "said" in row
        await driver.press("enter")
        readings = [e.reading for e in driver.case.events if getattr(e, "reading", None)]
        assert [str(reading) for reading in readings] == ["14 psi"]


async def test_a_fact_is_volunteered_at_a_step(open_app: Any, offroad_assessor: Assessor) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "2", "enter", "enter")
        await driver.press("r", *"rear", "space", *"sag", "space", *"128")
        assert (
            "Heard: Rear sag with the rider on, in full kit, any luggage on: 128 mm"
            in driver.flat()
        )
        await driver.press("enter")
        assert driver.screen == "InterviewScreen"
        answer = driver.case.events[-1]
        assert (answer.observation, str(answer.reading)) == ("rear-race-sag-measured", "128 mm")


async def test_what_may_be_meant_is_asked_before_it_counts(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "2", "enter", "enter")
        before = driver.case.events
        await driver.burst("r", *_keys("oil level low in the left leg"))
        assert "Nothing heard for sure; did you mean" in driver.flat()
        await driver.press("enter")
        assert driver.screen == "FactScreen" and driver.case.events == before
        assert "Nothing is taken yet" in driver.flat()
        await driver.burst("ctrl+u", *_keys("disc is oily"))
        await driver.press("down", "enter")
        assert driver.screen == "AnswerScreen" and driver.case.events == before
        assert "brake" in driver.text() and "Answer again" not in driver.text()
        await driver.press("3")
        assert driver.case.events[-1] == Answered("oil-on-front-brake", "on-brake")


async def test_what_is_not_understood_offers_no_rows(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "2", "enter", "enter")
        before = driver.case.events
        await driver.burst("r", *_keys("purple monkey"))
        assert "Not understood" in driver.text() and "did you mean" not in driver.text()
        await driver.press("enter", "down", "enter")
        assert driver.screen == "FactScreen" and driver.case.events == before


async def test_in_ascii_the_marks_have_stand_ins(open_app: Any, offroad_assessor: Assessor) -> None:
    async with open_app(offroad_assessor, ascii_only=True) as driver:
        await driver.burst("enter", *GREASED, "enter")
        assert driver.sent().isascii()
        assert "1 + Harsh (rear)" in driver.sent()


async def test_a_complaint_in_place_of_a_fact_is_pointed_out(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "2", "enter", "enter")
        await driver.burst("r", *_keys("and it also headshakes"))
        assert "Heard as another complaint: Headshake at speed. Add it?" in driver.flat()
        await driver.press("enter")
        assert driver.case.events[-1] == Complained("headshake")


async def test_the_end_of_another_complaint_is_asked_where_it_was_not_said(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "2", "enter", "enter")
        await driver.burst("r", *_keys("and it also bottoms out"))
        await driver.press("enter")
        assert "Bottoming: which end?" in driver.text()
        await driver.press("1")
        assert driver.case.events[-1] == Complained("bottoming", "front")
