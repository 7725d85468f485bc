"""Cases on screen and in the store: kept before the next question, resumed, found, compared, closed."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.cards.markup import markdown_card
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Noted,
    Rode,
    read_answer,
    read_target,
)
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_setting
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.entries import Details
from diagnose.records.learning.learned import learn_in_use
from diagnose.records.store.store import Store
from rules.loading.pack_files import OFFROAD
from tui.app.app import BadRideApp
from tui.services.shop import Shop
from tui.widgets.row_list import RowList

OpenShop = Callable[[], Store]
DONE = (Complained("no-start"), Answered("tank-look", "empty"), Corrected("fill-up"))
TWO_CURES = (*DONE, Corrected("new-plug"), Rode("gone"))


@pytest.fixture
def book(open_shop: OpenShop, mower_assessor: Assessor) -> CaseBook:
    return CaseBook(open_shop(), mower_assessor.rules)


@pytest.fixture
def demo(book: CaseBook) -> str:
    """A kept bike with a setting of last week on record."""
    setting = read_setting(book.rules, "plug-gap-reading=0.75 mm", date(2026, 4, 25))
    return BikeBook(book.store).add("Demo 250", [setting]).name


async def test_what_was_answered_is_in_the_store_before_the_next_question_shows(
    open_app: Any, mower_assessor: Assessor, book: CaseBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looked at at the moment the screens are told, after every key of a whole case."""
    told = []
    show = BadRideApp.refresh_top

    def looked_at(app: BadRideApp) -> None:
        if app.rooms.cases.at_work is not None and app.rooms.cases.at_work.current is not None:
            told.append(app.rooms.cases.at_work.current.case)
            assert book.read(1).case == app.rooms.cases.at_work.current.case
        show(app)

    monkeypatch.setattr(BadRideApp, "refresh_top", looked_at)
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press(
            "enter", "enter", "1", "enter", "enter", "3", "u", "3", "j", *"odd", "enter", "f", "1"
        )
        assert driver.step.kind == "close"
    assert len({case.events for case in told}) >= 5
    kept = book.read(1)
    assert kept.case.events == (*DONE[:2], Noted("odd"), DONE[2], Rode("gone"))
    assert kept.folded.first_forecast is not None


async def test_a_case_on_a_kept_bike_starts_from_its_record(
    open_app: Any, mower_assessor: Assessor, book: CaseBook, demo: str
) -> None:
    """Earlier cases and settings with their age; what is struck out is asked, the rest is not."""
    kept = book.begin(Case(events=(*DONE, Rode("gone"))), demo)
    close(book, mower_assessor, kept, weigh_closing(mower_assessor.rules, kept, cause="no-fuel"))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        driver.app.rooms.bikes.picked = BikeBook(book.store).read(demo)
        await driver.press("enter")
        assert driver.screen == "KnownScreen"
        text = driver.text()
        assert "Before: case 1, today: Will not start; proven, Out of fuel" in text
        assert "Plug gap: 0.75 mm" in text
        assert "setting of 2026-04-25; 6 days ago" in text
        await driver.press("enter", "enter", "1", "enter", "enter")
        assert list_cases(book.store, CaseFilter()).total == 1  # nothing was answered yet
        await driver.press("j", "x", "enter")
        assert driver.case.events[0].observation == "plug-gap-reading"
        stored = book.read(2)
        assert stored.bike == demo
        assumed = stored.folded.said[0].assumed
        assert assumed is not None and assumed.rests_on == "setting of 2026-04-25"
        await driver.press("e")
        assert "(assumed: setting of 2026-04-25)" in driver.text()
        await driver.press("escape", "k")
        assert "Plug gap: 0.75 mm (setting of 2026-04-25)" in driver.card()
        await driver.press("escape", "escape", "enter", "z")
        assert "NO LONGER SO: Plug gap" in driver.text()
        await driver.press("enter", "enter", "1", "enter", "enter", "j", "x", "enter")
        assert book.read(3).case.events == (Complained("no-start"), Noted("x"))


async def test_what_stays_of_a_case_left_in_the_middle(
    open_app: Any, mower_assessor: Assessor, open_shop: OpenShop, book: CaseBook
) -> None:
    """Another app on the same file lists it and goes on where it stopped."""
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "question_mark")
        step = driver.step
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        assert "Cases (1 open)" in driver.text()
        await driver.press("c", "g")
        assert driver.screen == "InterviewScreen"
        assert driver.step == step
        await driver.press("f")
    assert len(book.read(1).case.events) == 3


@pytest.mark.long
async def test_two_apps_on_one_case_lose_nothing(
    open_app: Any, mower_assessor: Assessor, open_shop: OpenShop, book: CaseBook
) -> None:
    """The second is told what the first did, and may add what it said itself."""
    book.begin(Case(events=(Complained("no-start"),)))
    async with (
        open_app(mower_assessor, open_store=open_shop) as one,
        open_app(mower_assessor, open_store=open_shop) as two,
    ):
        for driver in (one, two):
            await driver.press("c", "g")
        assert one.step == two.step
        await one.press("1")
        two.send("2", "f", "f")
        await two.settle()
        text = two.text()
        assert "Case 1 was moved on at another terminal" in text
        assert "There: Is there fresh fuel in the tank? Fresh" in text
        assert "Not added: your Is there fresh fuel in the tank? Smells stale" in text
        assert "Keys typed before this came up were not used: 2." in text
        assert two.case == one.case
        await two.press("2")
        assert two.case.events[-2:] == (
            Answered("tank-look", "fresh"),
            Answered("tank-look", "stale"),
        )
        await one.press("j", *"mine", "enter")
        assert "was moved on" in one.text()
        await one.press("escape")
        assert one.case == two.case == book.read(1).case


async def test_a_case_closed_elsewhere_is_shown_closed(
    open_app: Any, mower_assessor: Assessor, book: CaseBook
) -> None:
    book.begin(Case(events=DONE))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c", "g")
        kept = book.read(1)
        close(book, mower_assessor, kept, weigh_closing(mower_assessor.rules, kept))
        await driver.press("1")
        assert "There: closed as not-proven" in driver.text()
        await driver.press("1")
        assert driver.screen == "JobCardScreen"
        assert "not proven" in driver.card()
        await driver.press("j", *"late", "enter")
        assert any("This case is closed (not-proven)" in words for words in driver.said)
        assert book.read(1).case.events == DONE


def numbers_in(driver: Any) -> list[int]:
    """The cases listed, by their numbers."""
    rows = [str(option.prompt).split() for option in driver.app.screen.query_one(RowList).options]
    return [int(row[0]) for row in rows if "further down" not in " ".join(row)]


def marked_in(driver: Any) -> int:
    """The number of the case marked."""
    at: int = driver.app.screen.query_one(RowList).highlighted
    return numbers_in(driver)[at]


async def test_cases_are_found_by_word_state_and_bike(
    open_app: Any, mower_assessor: Assessor, book: CaseBook, demo: str
) -> None:
    book.begin(Case(events=(Complained("no-start"), Noted("coughs twice"))), demo)
    kept = book.begin(Case(events=DONE))
    close(book, mower_assessor, kept, weigh_closing(mower_assessor.rules, kept))
    book.begin(Case(events=(Complained("vibration", "deck"),)), demo)

    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c")
        assert numbers_in(driver) == [3, 2, 1]
        await driver.press("slash", *"cou")
        assert numbers_in(driver) == [1]
        await driver.press("escape", "tab")
        assert numbers_in(driver) == [3, 1]
        await driver.press("tab")
        assert numbers_in(driver) == [2]
        assert "Cases, closed: 1" in driver.text()
        await driver.press("b")
        assert any("no bike that is kept" in words for words in driver.said)
        await driver.press("tab", "home", "b")
        assert numbers_in(driver) == [3, 1]
        assert "Cases, all, of Demo 250: 2" in driver.text()
        await driver.press("b", "down", "down", "enter")
        assert driver.screen == "JobCardScreen"
        assert "coughs twice" in driver.card()
        assert driver.app.rooms.cases.at_work.kept.id == 1


async def test_a_long_list_is_read_page_by_page(
    open_app: Any, mower_assessor: Assessor, book: CaseBook
) -> None:
    for _ in range(130):
        book.begin(Case(events=(Complained("no-start"),)))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c")
        assert len(numbers_in(driver)) == 100
        assert "Cases, all: 130" in driver.text()
        await driver.press("end")
        assert len(numbers_in(driver)) == 130
        assert marked_in(driver) == 31
        await driver.press("end")
        assert marked_in(driver) == 1


@pytest.mark.long
async def test_a_proven_case_teaches_until_it_is_opened_again(
    open_app: Any, mower_assessor: Assessor, book: CaseBook
) -> None:
    """The correction fits two causes; whoever closes the case says which it was."""
    stale = Answered("tank-look", "stale")
    book.begin(Case(events=(Complained("no-start"), stale, Corrected("fill-up"), Rode("gone"))))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c", "g", "1")
        text = driver.text()
        assert "Case 1 closes as: proven" in text
        assert "[2] Close: Stale fuel" in text
        await driver.press("2")
        assert driver.screen == "JobCardScreen"
        closed = book.read(1).folded.closed
        assert closed is not None and closed.cause == "stale-fuel"
        assert (
            learn_in_use(mower_assessor.rules, book.store).cases == driver.app.shop.taught_by == 1
        )
        await driver.press("escape")
        assert "taught by 1 proven case" in driver.flat()
        await driver.press("c", "enter", "g", "1")
        assert driver.screen == "InterviewScreen"
        assert book.read(1).folded.closed is None
        assert (
            learn_in_use(mower_assessor.rules, book.store).cases == driver.app.shop.taught_by == 0
        )
        await driver.press("u", "3")
        assert book.read(1).case.events[-1] == Rode("same")


@pytest.mark.parametrize(
    ("events", "key", "outcome"),
    [
        ((*DONE, Rode("better")), "1", "improved"),
        pytest.param(DONE, "1", "not-proven", marks=pytest.mark.long),
        pytest.param(TWO_CURES, "1", "not-separable", marks=pytest.mark.long),
        ((*DONE, Rode("same")), "21", "handed-over"),
    ],
)
async def test_a_case_closes_as_its_rides_say(
    open_app: Any,
    mower_assessor: Assessor,
    book: CaseBook,
    events: tuple[Any, ...],
    key: str,
    outcome: str,
) -> None:
    """The person sees as what before it is closed, and may leave it open."""
    book.begin(Case(events=events))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c", "enter", "f", "escape")
        assert book.read(1).folded.closed is None
        await driver.press("f", *key[:-1])
        assert f"closes as: {outcome}" in driver.text()
        assert "Nothing is learned from it" in driver.text()
        await driver.press(key[-1])
        closed = book.read(1).folded.closed
        assert closed is not None and closed.outcome == outcome
        assert f"Case 1 is closed: {outcome}." in driver.said
        assert f"Case 1 is closed: {outcome}." in driver.text()


async def test_a_case_is_compared_with_others(
    open_app: Any, mower_assessor: Assessor, book: CaseBook, demo: str
) -> None:
    book.begin(Case(events=(Complained("vibration", "deck"),)), demo)
    kept = book.begin(Case(events=(*DONE, Rode("gone"))))
    close(book, mower_assessor, kept, weigh_closing(mower_assessor.rules, kept, cause="no-fuel"))
    book.begin(Case(events=(Complained("no-start"),)), demo)
    async with open_app(mower_assessor, size=(120, 40), open_store=lambda: book.store) as driver:
        await driver.press("c", "enter", "c")
        text = driver.text()
        assert "Proven behind this complaint: Out of fuel 1x" in text
        assert "this bike, case 1, today: Shakes (deck); open" in " ".join(text.split())
        assert "a bike that is not kept, case 2" in text
        await driver.press("down", "enter")
        assert driver.app.rooms.cases.at_work.kept.id == 2


async def test_the_paperwork_is_filled_in_on_the_card(
    open_app: Any, mower_assessor: Assessor, book: CaseBook
) -> None:
    """A price only where the shop asks for it; a wrong time is said at its field."""
    book.begin(Case(events=(*DONE, Rode("gone"))))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c", "enter", "e", *"Demo Rider", "down", "down", *"Demo Hand", "enter")
        assert "Customer: Demo Rider" in driver.card()
        assert "Technician: Demo Hand" in driver.card()
        await driver.press("e")
        assert "Price" not in [str(box.content) for box in driver.app.screen.query(".name")]
        await driver.press(*["down"] * 4, *"soon", "enter")
        assert "is not a number" in driver.flat()
        await driver.press("ctrl+u", *"45 min", "down", *"noted", "down", "space", "enter")
        assert "Time taken: 45 min" in driver.card() and "noted" in driver.card()
        await driver.press("e")
        assert "Price" in [str(box.content) for box in driver.app.screen.query(".name")]
        await driver.press("escape")
    kept = book.read(1)
    assert kept.folded.details == Details(
        customer="Demo Rider", technician="Demo Hand", time="45 min"
    )
    assert kept.case.events[-1] == Noted("noted")


@pytest.mark.long
async def test_the_card_on_screen_is_the_one_that_is_written(
    open_app: Any, mower_assessor: Assessor, book: CaseBook, tmp_path: Path
) -> None:
    """For the workshop or the customer; the ending of the name says what kind of file."""
    book.begin(Case(events=(*DONE, Rode("gone"))))
    async with open_app(mower_assessor, open_store=lambda: book.store) as driver:
        await driver.press("c", "enter")
        assert "EVIDENCE" in driver.card()
        await driver.press("tab")
        assert "WHAT YOU TOLD US" in driver.text()
        for name in ("card.md", "card.pdf"):
            await driver.press("o", "ctrl+u", *str(tmp_path / name), "enter")
        shown = markdown_card(driver.app.screen.card)
        assert (tmp_path / "card.md").read_text(encoding="utf-8") == shown
        pages = PdfReader(io.BytesIO((tmp_path / "card.pdf").read_bytes())).pages
        assert "What you told us" in pages[0].extract_text()
        await driver.press("o", "ctrl+u", *"/no/such/folder/card.md", "enter")
        assert any("nothing was written" in words for words in driver.said)


@pytest.mark.long
async def test_an_example_is_never_kept_and_a_case_file_from_its_first_answer_on(
    open_app: Any, offroad_assessor: Assessor, open_shop: OpenShop, tmp_path: Path
) -> None:
    offroad = CaseBook(open_shop(), offroad_assessor.rules)
    file = tmp_path / "mine.yaml"
    file.write_text("case: 1\ncomplaints: [harsh/front]\n", encoding="utf-8")
    examples = OFFROAD / "worked_cases"
    async with open_app(offroad_assessor, open_store=open_shop, examples=examples) as driver:
        await driver.press("k", "enter", "exclamation_mark", "j", *"hm", "enter", "f")
        assert driver.screen == "StartScreen"
        await driver.press("o", "ctrl+u", *str(file), "enter")
        await driver.press("ctrl+c")
        assert driver.app.rooms.cases.current.diagnosis.waiting == 0
        assert driver.app.rooms.cases.at_work.kept is None
        await driver.press("g", "question_mark")
    assert offroad.read(1).case.events[0] == Complained("harsh", "front")


async def test_what_was_set_is_asked_for_right_after_the_work(
    open_app: Any, offroad_assessor: Assessor, open_shop: OpenShop
) -> None:
    """Enter takes the figure, one key leaves it, a figure is typed, and undo takes back the one."""
    rules = offroad_assessor.rules
    targets = dict([read_target(rules, "rear-tyre-pressure", "13 psi")])
    found = read_answer(rules, "rear-tyre-gauge", "25 psi")
    case = Case({}, targets, (Complained("harsh", "rear"), found))
    CaseBook(open_shop(), rules).begin(case)
    work = Corrected("set-rear-tyre-pressure")
    async with open_app(offroad_assessor, open_store=open_shop) as driver:
        await driver.press("c", "g", "p")
        assert driver.plan[0] == work.correction
        await driver.press("f", "f", "f")  # the first shows the work, the second the rest of it
        text = driver.text()
        assert "Found: 25 psi. Enter: 13 psi" in text and "Not read" in text
        await driver.press("enter")
        assert driver.case.events[-2:] == (work, read_answer(rules, "rear-tyre-gauge", "13 psi"))
        await driver.press("u")
        assert driver.case.events[-1] == work
        await driver.press("u")
        assert driver.case.events[-1] == found
        await driver.press("p", "f", "f", "n")
        assert driver.case.events[-1] == work
        await driver.press("u", "p", "f", "f", *"14", "enter")
        assert driver.case.events[-1] == read_answer(rules, "rear-tyre-gauge", "14 psi")
        assert driver.step.kind == "confirm"
        await driver.press("k")
        assert "found 25 psi, set 14 psi" not in driver.card()  # nothing is proven yet
        await driver.press("escape", "1", "k")
        assert "found 25 psi, set 14 psi; the ride after it: gone." in driver.card()


def test_a_closed_case_is_not_moved_by_its_own_lesson(
    mower_assessor: Assessor, open_shop: OpenShop
) -> None:
    """Its figures stay as they were when it was closed; an open case has all that was learned."""
    shop = Shop(lambda: mower_assessor, open_shop)
    shop.load()
    shop.open()
    case = Case(events=(Complained("no-start"), Answered("tank-look", "stale")))
    told = [case]
    for event in (Corrected("fill-up"), Rode("gone")):
        told.append(told[-1].with_event(event))
    kept = shop.book.begin(case)
    for later in told[1:]:
        kept = shop.book.record(kept, later)
    before = shop.assessor_for(kept).assess(kept.case).ranking
    closing = weigh_closing(shop.rules, kept, cause="stale-fuel")
    kept = close(shop.book, shop.assessor, kept, closing)
    shop.learn()
    assert shop.taught_by == 1
    assert shop.assessor.assess(kept.case).ranking != before
    assert shop.assessor_for(kept).assess(kept.case).ranking == before


async def test_what_is_found_is_asked_for_before_the_work_is_shown(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Enter alone leaves it, and then nobody is asked again."""
    work = Corrected("set-rear-tyre-pressure")
    rules = offroad_assessor.rules
    case = Case({}, {}, (Complained("harsh", "rear"),))
    step = Step("correct", work.correction, None, 3)
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(case)
        desk = driver.app.rooms.cases
        desk.turn_to(step)
        await driver.settle()
        assert "Found at? Rear tyre pressure" in driver.text()
        await driver.press(*"25", "enter")
        found = read_answer(rules, "rear-tyre-gauge", "25 psi")
        assert driver.case.events[1:] == (found,)
        assert (driver.step.kind, driver.step.target) == ("correct", work.correction)
        await driver.press("enter", "f")  # the caution is read first
        assert "Found: 25 psi" in driver.text()
        await driver.press(*"13", "enter")
        assert driver.case.events[1:] == (
            found, work, read_answer(rules, "rear-tyre-gauge", "13 psi"),
        )  # fmt: skip
        # the figure set, the work, the step picked, the figure found
        await driver.press("u", "u", "u", "u")
        assert driver.case == case
        desk.turn_to(step)
        await driver.settle()
        await driver.press("enter", "f")
        assert driver.case.events[1:] == (work,)
        assert "Set to? Rear tyre pressure" in driver.text()


async def test_work_picked_from_the_plan_asks_first_too(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    case = Case({}, {}, (Complained("harsh", "rear"),))
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(case)
        await driver.press("p")
        place = driver.plan.index("set-rear-tyre-pressure")
        await driver.press(str(place + 1))
        assert "Before it is begun, note what is found: Rear tyre pressure" in driver.flat()
        await driver.press("f")
        assert "Found at? Rear tyre pressure" in driver.text()
        assert driver.case == case


async def test_the_list_of_cases_begins_the_first_and_says_where_one_stands(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """The causes in front and the last answer stand in each row, and whole under the list."""
    async with open_app(mower_assessor) as driver:
        await driver.press("c")
        assert "[a]  Begin the first case" in driver.text()
        await driver.press("a", "enter", "1", "enter", "enter", "1", "escape", "c")
        said = " ".join(driver.text().split())
        assert "So far: " in said
        assert said.count("Last: Is there fresh fuel in the tank?") == 2
        await driver.press("a", "enter", "1", "enter", "enter", "2", "escape", "c")
        await driver.settle()
        rows = [line for line in driver.text().splitlines() if line.startswith(" " * 6)]
        assert sum("Last: Is there fresh fuel in the tank?" in line for line in rows) == 2
