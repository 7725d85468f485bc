"""Keys: typing ahead, undo, changing what was said, and what may not be typed through."""

from __future__ import annotations

import random
import threading
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.case.events import Answered, Case, Complained, Corrected, Noted, read_answer


async def test_two_keys_reach_the_first_question_with_the_assumptions_marked(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Nothing set up: one key asks for the complaint, and the bike is marked as assumed."""
    async with open_app(mower_assessor) as driver:
        assert "rules of thumb" in driver.text()
        await driver.press("enter")
        assert "What happened? In the rider's words." in driver.text()


async def test_a_key_that_does_nothing_is_told_which_keys_do(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """In the line of the footer, until the next key; a key with a use says nothing."""
    async with open_app(mower_assessor) as driver:
        await driver.press("z")
        assert "z does nothing here. Here: Enter h b c t l o k a e q" in driver.text()
        await driver.press("enter", "escape")
        assert "does nothing here" not in driver.text()


async def test_an_answer_that_leaves_the_keys_as_they_are_makes_no_new_ones(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(Case(events=(Complained("harsh", "front"),)))
        before, asked = [*driver.app.screen.query("FooterKey")], driver.step
        await driver.press("question_mark")
        assert driver.step != asked
        assert before and [*driver.app.screen.query("FooterKey")] == before
        await driver.press("w")
        assert [*driver.app.screen.query("FooterKey")] != before


async def test_a_word_is_searched_among_riders_own_words(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Every saying of the task finds its complaint first."""
    said = {
        "stiff": "harsh",
        "beats me up": "harsh",
        "washy": "pushing",
        "swims": "wallowing",
        "spits me off rocks": "deflection",
        "oil on the leg": "seal-weep",
    }
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter")
        for words, complaint in said.items():
            driver.send(*words)
            await driver.settle()
            assert driver.app.screen._found[0] == complaint, words
            await driver.press("ctrl+u")


@pytest.mark.long
async def test_several_complaints_and_phases_are_recorded_together(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Two complaints, one with an end, and two phases of riding."""
    async with open_app(offroad_assessor) as driver:
        await driver.press("enter", "enter", "1", "1", "2", "enter")
        assert driver.screen == "CheckInScreen"
        said = (Complained("harsh", "front"), Complained("wallowing"))
        page = check_in(offroad_assessor, Case(events=said))
        await driver.press("j", "k", "k", "l", "enter")
        assert driver.case.events == (
            *said,
            Answered(page.shows[0], state="yes"),
            Answered(page.shows[2], state="yes"),
        )


async def test_keys_typed_before_loading_ends_are_kept(mower_assessor: Assessor) -> None:
    """The rule base loads only when the test lets it; keys typed before count afterwards."""
    from tui.app.app import BadRideApp

    first_asked = mower_assessor.assess(Case({}, {}, (Complained("no-start"),))).step.target
    gate = threading.Event()

    def slow() -> Assessor:
        gate.wait(10)
        return mower_assessor

    app = BadRideApp(slow)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(
            "enter", "enter", "d", "e", "a", "d", "enter", "enter", "enter", "question_mark"
        )
        assert type(app.screen).__name__ == "StartScreen"
        gate.set()
        await app.settled()
        assert app.rooms.cases.at_work is not None
        assert app.rooms.cases.at_work.case.events == (
            Complained("no-start"),
            Answered(first_asked),
        )


async def test_keys_typed_while_an_answer_is_worked_out_meet_the_next_steps(
    open_app: Any, mower_assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Answers sent in one burst are recorded as answers one by one are."""
    answers = ("1", "question_mark", "1", ".", "5", "enter", "d", "3")
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", *answers)
        one_by_one = driver.case.events
    assert len(one_by_one) > 3
    gate = threading.Semaphore(0)
    assess = Assessor.assess

    def slow(self: Assessor, case: Case) -> Any:
        gate.acquire(timeout=10)
        return assess(self, case)

    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter")
        monkeypatch.setattr(Assessor, "assess", slow)
        driver.send("enter", *answers)
        await driver.held()
        gate.release(100)
        await driver.settle()
        assert driver.case.events == one_by_one


@pytest.mark.timeout(20)
async def test_nothing_is_waited_for_once_the_app_is_left(
    open_app: Any, mower_assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Left while an answer is worked out, and asked again after it has gone."""
    gate = threading.Event()
    assess = Assessor.assess

    def slow(self: Assessor, case: Case) -> Any:
        gate.wait(10)
        return assess(self, case)

    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter")
        monkeypatch.setattr(Assessor, "assess", slow)
        driver.send("enter")
        await driver.held()
        driver.app.exit()
        await driver.app.settled()
        await driver.app.settled()
        gate.set()
        assert driver.app.is_holding


async def test_a_note_typed_at_once_after_its_key_goes_into_the_note(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """`j` opens a box; what is typed without waiting lands in it, not among the answers."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        driver.send("j", *"nynx", "enter", "question_mark")
        await driver.settle()
        assert driver.case.events[1] == Noted("nynx")
        assert len(driver.case.events) == 3


async def test_a_reading_takes_units_and_says_what_is_wrong(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Letters are keys until a figure is typed; a bad reading is refused in words."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "1", "question_mark")
        assert (driver.step.kind, driver.step.target) == ("measure", "plug-gap-reading")
        await driver.press("w")
        assert driver.screen == "WhyScreen"
        await driver.press("escape")
        await driver.write("9 psi")
        await driver.press("enter")
        assert "mm" in driver.text()
        assert "pressure" in driver.text()
        await driver.press(*["backspace"] * 5)
        await driver.write("1.2 mm")
        await driver.press("enter")
        expected = read_answer(mower_assessor.rules, "plug-gap-reading", "1.2 mm")
        assert driver.case.events[-1] == expected


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
async def test_undo_and_change_reach_the_state_of_answering_directly(
    open_app: Any, mower_assessor: Assessor, seed: int
) -> None:
    """A random walk of answers, undos, changes and strikes, against the same facts given directly.

    The model is a plain list; the app must show the same case, ranking and step after every key.
    """
    chance = random.Random(seed)
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        model: list[Any] = list(driver.case.events)
        stood = [list(model)]
        for _ in range(14):
            move = chance.choice(["answer", "answer", "answer", "undo", "change", "strike", "jot"])
            if driver.screen == "WarningScreen":
                await driver.press("exclamation_mark")
            if move == "answer" and driver.app.screen.query("AnswerPad"):
                offers = [o for o in driver.app.screen.query_one("AnswerPad").offers if o.event]
                if not offers:
                    continue
                offer = chance.choice(offers)
                model.append(offer.event)
                await driver.press("question_mark" if offer.key == "?" else offer.key)
            elif move == "undo" and len(stood) > 1:
                stood.pop()
                model = list(stood[-1])
                await driver.press("u")
            elif move == "jot":
                model.append(Noted("seen"))
                await driver.press("j", *"seen", "enter")
            elif move in ("change", "strike") and len(model) > 1:
                at = chance.randrange(1, len(model))
                event = model[at]
                await driver.press("e", "home", *["down"] * at)
                if move == "strike":
                    del model[at]
                    await driver.press("z")
                elif isinstance(event, Answered):
                    model[at] = Answered(event.observation)
                    await driver.press("enter", "question_mark")
                if driver.screen == "WarningScreen":
                    await driver.press("exclamation_mark")
                await driver.press("escape")
            if driver.screen == "WarningScreen":
                await driver.press("exclamation_mark")
            if model != stood[-1]:
                stood.append(list(model))
            direct = Case({}, {}, tuple(model))
            assert driver.case == direct
            assessment = driver.app.rooms.cases.at_work.current.assessment
            expected = mower_assessor.assess(direct)
            assert assessment.ranking == expected.ranking
            assert assessment.step == expected.step
            assert assessment.plan == expected.plan


async def test_do_not_ride_takes_over_and_stays_on_the_card(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Only its own key leads on; keys typed ahead are not taken for answers to what follows."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "2", "1", "enter", "enter")
        while driver.step.target != "blade-wobble":
            await driver.press("y")
        assert driver.step.constraint == "safety first"
        driver.send("y", "f", "f")
        await driver.settle()
        assert driver.screen == "WarningScreen"
        assert not any(isinstance(event, Corrected) for event in driver.case.events)
        assert "The blade is loose." in driver.text()
        await driver.press("y", "f", "enter", "escape", "space")
        assert driver.screen == "WarningScreen"
        await driver.press("exclamation_mark")
        assert driver.screen == "InterviewScreen"
        assert "DO NOT RIDE: The blade is loose." in driver.text()
        await driver.press("k")
        assert "DO NOT RIDE: The blade is loose." in driver.card()
        await driver.press("escape")
        screens = {"w": "WhyScreen", "w tab": "CausesScreen", "p": "PlanScreen"}
        for keys, screen in screens.items():
            await driver.press(*keys.split())
            assert driver.screen == screen
            assert "DO NOT RIDE" in driver.text()
            await driver.press("escape")
        assert driver.step.kind == "correct"
        await driver.press("f")
        assert driver.step.target == "blade-wobble"
        await driver.press("n")
        assert "DO NOT RIDE" not in driver.text()
