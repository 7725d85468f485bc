"""The screens of the bikes: find, add, edit, log, take back, tick off, hand on."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import timedelta
from itertools import takewhile
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained, standing
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_facts, read_figure, read_ride, read_setting
from diagnose.records.bikes.bike_journal import ServiceEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import UnwritableStore
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.clocks import TODAY, Standing
from tests.mower_bikes import memory_store, settable_shop, stock
from tui.widgets.action_pad import ActionPad
from tui.widgets.key_button import KeyButton

NAME = "Demo 250"
SIZES = [(80, 24), (200, 60)]
OnBikes = Callable[..., AbstractAsyncContextManager[Any]]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Assessor:
    return settable_shop(tmp_path_factory.mktemp("pack"))


@pytest.fixture
def rules(shop: Assessor) -> RuleBase:
    return shop.rules


@pytest.fixture
def store(rules: RuleBase) -> Store:
    kept = memory_store()
    stock(kept, rules)
    return kept


@pytest.fixture
def book(store: Store) -> BikeBook:
    return BikeBook(store)


@pytest.fixture
def on_bikes(open_app: Any, shop: Assessor, store: Store) -> OnBikes:
    """The list of bikes, opened; then the keys given."""

    @asynccontextmanager
    async def opened(*keys: str, **options: Any) -> AsyncIterator[Any]:
        async with open_app(shop, open_store=lambda: store, **options) as driver:
            await driver.burst("b", *keys)
            yield driver

    return opened


def told(driver: Any) -> str:
    """What has been said in passing."""
    return " ".join(driver.said)


# -- the list ------------------------------------------------------------------------------------


async def test_the_list_narrows_as_you_type_and_hides_what_is_archived(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """Figures and letters can be typed; Escape shows everything again."""
    book.add("Other 125", [])
    book.add("Old one", [])
    book.archive("Old one")
    async with on_bikes() as driver:
        assert NAME in driver.text()
        assert "Other 125" in driver.text()
        assert "Old one" not in driver.text()
        await driver.burst("/", *"12")
        assert NAME not in driver.text()
        await driver.burst("escape")
        assert NAME in driver.text()
        await driver.burst("z")
        assert "Old one (put away)" in driver.text()
        await driver.burst("escape")
        assert driver.screen == "StartScreen"


@pytest.mark.long
async def test_why_no_bike_is_shown_is_said(
    on_bikes: OnBikes, book: BikeBook, open_app: Any, shop: Assessor
) -> None:
    """None like what was typed, none but archived ones, or none at all yet."""
    async with on_bikes("/", *"xyz") as driver:
        assert "No such bike." in driver.text()
        book.archive(NAME)
        await driver.burst("escape", "escape", "b")
        assert "All are put away: [z]" in driver.text()
        assert "1 put away (z)" in driver.text()
    empty = memory_store()
    async with open_app(shop, open_store=lambda: empty) as driver:
        await driver.burst("b")
        assert "[a]  Add the first bike" in driver.text()
        assert "No such bike" not in driver.text()


async def test_the_bike_picked_is_that_of_the_next_case(on_bikes: OnBikes) -> None:
    """`b` picks it and goes back to the start, which says its name."""
    async with on_bikes("b") as driver:
        assert driver.screen == "StartScreen"
        assert driver.app.rooms.bikes.picked.name == NAME
        assert NAME in driver.text()


@pytest.mark.long
async def test_the_bike_picked_is_followed_when_it_is_called_otherwise(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """By the next case, by the one on the bench, and by what was ticked off its list."""
    async with on_bikes("b") as driver:
        # what its record says, what happened, the list of complaints, the first answer
        await driver.burst("enter", "enter", "enter", "1", "enter", "enter", "question_mark")
        assert driver.app.rooms.cases.current.kept.bike == NAME
        driver.app.rooms.bikes.ticked[NAME] = {"tyre"}
        driver.app.back_to_start()
        await driver.burst("b", "e", "enter", *["backspace"] * len(NAME), *"Red one", "enter", "y")
        assert [row.name for row in book.rows()] == ["Red one"]
        assert driver.app.rooms.bikes.picked.name == "Red one"
        assert driver.app.rooms.bikes.ticked == {"Red one": {"tyre"}}
        assert driver.app.shop.bike_of(driver.app.rooms.cases.current.kept).name == "Red one"


async def test_a_case_is_begun_on_it_with_one_key(on_bikes: OnBikes) -> None:
    """From the list and from its page."""
    async with on_bikes("g") as driver:
        assert driver.app.rooms.bikes.picked.name == NAME
        assert driver.screen in ("KnownScreen", "StoryScreen")
    async with on_bikes("enter", "g") as driver:
        assert driver.screen in ("KnownScreen", "StoryScreen")


@pytest.mark.long
async def test_a_pressure_noted_before_the_ride_is_known_to_the_case(on_bikes: OnBikes) -> None:
    """It is offered with its day, and struck out where it is no longer so."""
    async with on_bikes("enter", "s", "down", "down", "r", *"0.8 bar", "enter") as driver:
        await driver.burst("escape", "g")
        assert driver.screen == "KnownScreen"
        assert "Tyre pressure: 0.8 bar" in driver.text()
        assert "changes by itself, noted 2026-05-20; today" in driver.text()
        await driver.burst("enter", "1", "enter")
        known = standing(driver.case).answers
        assert known["tyre-gauge"].reading == Quantity(0.8, "bar")


# -- adding and editing --------------------------------------------------------------------------


async def test_a_bike_is_added_by_keys(on_bikes: OnBikes, book: BikeBook) -> None:
    """Name, use, kind, a figure with where it was read, a baseline; then it is in the store."""
    async with on_bikes("a", "enter", *"New 1", "enter") as driver:
        await driver.burst("down", "enter", *"woods", "enter")
        await driver.burst("down", "enter", "2")
        await driver.burst("2", "/", *"tyre", "enter", *"0,9 bar", "enter")
        assert "Say where it was read" in driver.flat()
        await driver.burst(*"page 4", "enter", "3", "enter", *"5 clicks", "enter")
        assert len(book.rows()) == 1
        await driver.burst("y")
        assert driver.screen == "BikesScreen"
        bike = book.read("New 1")
        assert (bike.use, bike.traits) == ("woods", {"engine": "electric"})
        figure = bike.targets["tyre-pressure"]
        assert (str(figure.quantity), figure.read_in) == ("0.9 bar", "page 4")
        assert "lever-clicks" in bike.baseline


@pytest.mark.long
async def test_a_bad_value_is_named_where_it_was_typed(on_bikes: OnBikes, book: BikeBook) -> None:
    """The form stays, says what it was and what would do, and takes the right one."""
    async with on_bikes("e", "/", *"tyre", "enter") as driver:
        await driver.burst(*"13 kg", "enter")
        assert "'13 kg' is a mass; give a pressure (psi, Pa, bar, kPa)" in driver.flat()
        await driver.burst(*["backspace"] * 5, *"15 psi", "enter")
        assert "Say where it was read" in driver.flat()
        await driver.burst(*"page 9", "enter")
        assert "> Tyre pressure: 15 psi (page 9)" in driver.flat()
        await driver.burst("y")
        assert str(book.read(NAME).targets["tyre-pressure"].quantity) == "15 psi"


@pytest.mark.long
async def test_a_bike_without_a_name_is_asked_for_it(on_bikes: OnBikes, book: BikeBook) -> None:
    """A name that is taken is refused in words, and nothing typed is lost."""
    async with on_bikes("a", "/", *"closed", "enter", *"5", "enter", "y") as driver:
        assert "What is the bike called?" in driver.text()
        await driver.burst(*"demo 250", "enter")
        assert driver.screen == "BikeScreen"
        assert "there is a bike 'Demo 250' already" in driver.text()
        await driver.burst("e", *"Mine", "enter", "y")
        assert "lever-clicks" in book.read("Mine").baseline


@pytest.mark.long
async def test_changes_are_not_dropped_unasked(on_bikes: OnBikes, book: BikeBook) -> None:
    """Escape asks; `t` takes one change back, after which there is nothing to ask."""
    before = book.read(NAME)
    async with on_bikes("e", "3", "enter", *"5", "enter", "escape") as driver:
        assert "changes that are not kept yet" in driver.text()
        await driver.burst("escape")
        assert driver.screen == "BikeScreen"
        await driver.burst("u", "escape")
        assert driver.screen == "BikesScreen"
        assert book.read(NAME) == before


@pytest.mark.long
async def test_an_edit_never_overwrites_another_terminals(
    on_bikes: OnBikes, book: BikeBook, rules: RuleBase
) -> None:
    """What it changed is shown with what was typed here; the second `k` keeps both."""
    async with on_bikes("e", "/", *"closed", "enter", *"5", "enter") as driver:
        book.append(NAME, [read_facts(rules, ["size=large"], "mud")])
        book.append(NAME, [read_setting(rules, "lever-clicks=2", TODAY, baseline=True)])
        await driver.burst("y")
        words = driver.flat()
        assert "Another terminal has changed this bike" in words
        assert "Changed on both sides: Lever, clicks out from closed" in words
        assert "Ridden on and for: mud" in words
        assert "> Lever, clicks out from closed: 5 clicks" in words
        await driver.burst("y")
        bike = book.read(NAME)
        assert (bike.use, bike.traits["size"]) == ("mud", "large")
        assert str(bike.baseline["lever-clicks"].answer.reading) == "5 clicks"
        assert [str(s.answer.reading) for s in bike.settings[-2:]] == ["2 clicks", "5 clicks"]


async def test_a_new_name_stays_when_the_rest_of_an_edit_is_dropped(
    on_bikes: OnBikes, book: BikeBook, rules: RuleBase
) -> None:
    """The name is in the store before it is seen that another terminal has changed the bike."""
    async with on_bikes("enter", "e", "e", *"Red one", "enter", "down", "enter") as driver:
        await driver.burst(*"woods", "enter")
        book.append(NAME, [read_setting(rules, "tyre-gauge=14 psi", TODAY)])
        await driver.burst("y")
        assert "Another terminal has changed this bike" in driver.flat()
        await driver.burst("escape", "d")
        assert driver.screen == "BikePage"
        assert driver.text().lstrip().startswith("Red one")
        await driver.burst("a", *"1", "enter")
        assert book.read("Red one").total_hours == 11
        await driver.burst("escape")
        assert "Red one" in driver.text()
        assert NAME not in driver.text()


async def test_keys_typed_ahead_of_a_new_bike_act_on_it(on_bikes: OnBikes) -> None:
    """It is marked on the list by the time they are handled."""
    async with on_bikes("a", "enter", *"Zeta", "enter", "y", "enter") as driver:
        assert driver.screen == "BikePage"
        assert driver.text().lstrip().startswith("Zeta")


async def test_a_search_keeps_headings_and_the_next_begins_empty(on_bikes: OnBikes) -> None:
    """The same word stands under the manual's figures and under the baseline."""
    async with on_bikes("e", "/", *"tyre") as driver:
        lines = [line.strip() for line in driver.text().splitlines()]
        assert [line for line in lines if line.startswith(("By the", "Baseline", "Tyre"))] == [
            "By the manual",
            "Tyre pressure: 13 psi  (manual, page 4)",
            "Baseline: how it should stand",
            "Tyre pressure: 0.9 bar  (2026-04-10)",
        ]
        await driver.burst("down", "/", *"lever")
        assert "Lever, clicks out from closed" in driver.text()
        assert "Tyre pressure" not in driver.text()


async def test_a_section_may_be_empty(open_app: Any, mower_assessor: Assessor) -> None:
    """This machine has nothing to set and no figures; the keys to them do nothing."""
    async with open_app(mower_assessor) as driver:
        await driver.burst("b", "a", "down", "down", "enter", "2", "2", "3")
        assert driver.screen == "BikeScreen"
        assert "Electric motor" in driver.text()


# -- the page ------------------------------------------------------------------------------------


async def test_the_page_says_what_takes_each_setting_back(on_bikes: OnBikes) -> None:
    """As `bike compare` does; what has moved stands first."""
    async with on_bikes("enter") as driver:
        lines = driver.text().splitlines()
        row = next(line for line in lines if "6 clicks" in line)
        title, values = row.split("  ", 1)
        assert title.strip() == "Lever, clicks out from closed"
        assert values.split() == ["6", "clicks", "4", "clicks", "2", "clicks", "more"]
        assert "too soft" in driver.flat()
        assert lines.index(row) < next(n for n, ln in enumerate(lines) if "Tyre pressure" in ln)


@pytest.mark.long
async def test_a_setting_is_a_baseline_only_when_that_is_ticked(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """The history says which is one, and nothing is counted from another."""
    book.add("Other 125", [])
    async with on_bikes("down", "enter", "r", *"tyre", "enter", *"15 psi", "enter") as driver:
        assert book.read("Other 125").baseline == {}
        await driver.burst("3")
        assert "Tyre pressure: 15 psi" in driver.text()
        assert "15 psi, baseline" not in driver.text()
        await driver.burst("r", *"tyre", "enter", *"1.1 bar", "enter", "1")
        row = next(line for line in driver.text().splitlines() if "1.1 bar" in line)
        assert row.split()[2:] == ["-", "1.1", "bar", "-"]
        await driver.burst("r", *"tyre", "enter", *"0.9 bar", "down", "space", "enter")
        await driver.burst("r", *"tyre", "enter", *"15 psi", "enter")
        assert "0.13 bar less" in driver.text()
        await driver.burst("3")
        assert "Tyre pressure: 0.9 bar, baseline" in driver.text()


@pytest.mark.long
async def test_the_way_back_leads_to_the_manuals_figure(on_bikes: OnBikes) -> None:
    """Where there is one, in its unit, whatever the baseline is."""
    async with on_bikes("enter") as driver:
        assert "1 figure by the manual" in driver.text()
        assert "rules of thumb" not in driver.text()
        await driver.burst("r", *"tyre", "enter", *"0.8 bar", "enter")
        assert "1.4 psi more" in driver.flat()


@pytest.mark.long
async def test_a_change_is_logged_and_taken_back(on_bikes: OnBikes, book: BikeBook) -> None:
    """The journal keeps that it was there."""
    async with on_bikes("enter", "r", *"lever", "enter", *"3", "enter") as driver:
        assert "3 clicks more" in driver.flat()
        grown = book.read(NAME)
        assert str(grown.now["lever-clicks"].answer.reading) == "3 clicks"
        await driver.burst("u")
        assert "Take back? 2026-05-20 Lever, clicks out from closed: 3 clicks" in driver.flat()
        await driver.burst("n")
        assert book.read(NAME).version == grown.version
        await driver.burst("u", "y")
        after = book.read(NAME)
        assert str(after.now["lever-clicks"].answer.reading) == "4 clicks"
        assert after.version == grown.version + 1
        assert "2 clicks more" in driver.flat()


@pytest.mark.long
async def test_any_entry_can_be_taken_back_from_the_history(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """Enter on its line; a figure is not taken back there."""
    async with on_bikes("enter", "3", "enter", "y") as driver:
        assert book.read(NAME).total_hours == 8
        await driver.burst("end", "enter")
        assert "A figure is changed with e" in told(driver)


async def test_a_ride_is_logged_by_hours_or_by_the_meter(on_bikes: OnBikes, book: BikeBook) -> None:
    """A meter that has gone back is asked about."""
    async with on_bikes("enter", "a", "enter") as driver:
        assert "one of both" in driver.flat()
        await driver.burst(*"60", "enter")
        assert "'60': a ride has more than 0 and at most 24 hours" in driver.flat()
        await driver.burst("backspace", "backspace", *"90 min", "enter")
        assert book.read(NAME).total_hours == 11.5
        await driver.burst("a", *"23", "enter")
        assert "1.5 h are logged for 2026-05-20 already" in driver.flat()
        await driver.burst("escape", "a", "down", *"30", "enter")
        assert book.read(NAME).total_hours == 30
        await driver.burst("a", "down", *"2", "enter")
        assert "less than the 30 h of" in driver.flat()
        await driver.burst("down", "space", "enter")
        assert book.read(NAME).rides[-1].new_meter
        assert book.read(NAME).rides[-1].meter == 2


@pytest.mark.long
async def test_a_day_that_has_not_come_is_refused(on_bikes: OnBikes, book: BikeBook) -> None:
    """And one that is no date; then the ride is logged for the day given."""
    async with on_bikes("enter", "a", *"1", *["down"] * 4) as driver:
        await driver.burst("ctrl+u", *"20260521", "enter")
        assert "has not come yet; today is 2026-05-20" in driver.flat()
        await driver.burst("ctrl+u", *"last week", "enter")
        assert "'last week' is not a date; write it like 2026-05-20" in driver.flat()
        await driver.burst("ctrl+u", *"20260518", "enter")
        assert TODAY - timedelta(days=2) in {ride.on for ride in book.read(NAME).rides}


async def test_what_is_due_has_a_date_and_starts_from_zero(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """The date follows from the rides: 10 h in 20 days leave 20 - 2 h for 36 days."""
    on = TODAY - timedelta(days=2)
    book.append(NAME, [ServiceEntry(clock="hours-blade", on=on)])
    async with on_bikes("enter", "2") as driver:
        assert "2026-06-25" in driver.text()
        book.append(NAME, [read_ride(Bike(NAME), "24 h", None, TODAY, new_meter=False, why="")])
        await driver.burst("f")
        assert "What was done?" in driver.text()
        await driver.burst("1", "enter")
        assert [s.on for s in book.read(NAME).services] == [on, TODAY]
        assert "DUE" not in driver.flat().replace("DUE NOW: 0", "")


@pytest.mark.long
async def test_a_service_that_has_run_out_is_said(on_bikes: OnBikes, book: BikeBook) -> None:
    """On the page and before a ride; Enter on its row logs it."""
    book.append(NAME, [ServiceEntry(clock="months-belt", on=TODAY - timedelta(days=900))])
    async with on_bikes("enter") as driver:
        assert "DUE NOW: 1 of 2 services have run out" in driver.flat()
        await driver.burst("s")
        assert "SERVICE DUE: months since the belt was new" in driver.flat()
        await driver.burst("escape", "2", "enter", "enter")
        assert "Next service about" in driver.flat()


async def test_what_another_terminal_adds_is_shown_too(
    on_bikes: OnBikes, book: BikeBook, rules: RuleBase
) -> None:
    """Nothing of either is lost."""
    async with on_bikes("enter", "a", *"1") as driver:
        book.append(NAME, [read_setting(rules, "tyre-gauge=14 psi", TODAY)])
        await driver.burst("enter")
        assert "Another terminal has added 1" in told(driver)
        assert "14 psi" in driver.text()
        bike = book.read(NAME)
        assert bike.total_hours == 11
        assert str(bike.now["tyre-gauge"].answer.reading) == "14 psi"


async def test_a_case_of_the_bike_is_opened_from_its_page(
    on_bikes: OnBikes, store: Store, rules: RuleBase
) -> None:
    """Enter on its row shows its card."""
    CaseBook(store, rules).begin(Case({}, {}, (Complained("no-start"),)), NAME)
    async with on_bikes("enter", "4") as driver:
        assert "Will not start" in driver.text()
        await driver.burst("enter")
        assert driver.screen == "JobCardScreen"
        assert driver.case.events == (Complained("no-start"),)


async def test_archived_and_brought_back(on_bikes: OnBikes, book: BikeBook) -> None:
    """Nothing of it is deleted."""
    async with on_bikes("enter", "z") as driver:
        assert book.read(NAME).archived
        assert "(put away; z brings it back)" in driver.text()
        await driver.burst("z")
        assert not book.read(NAME).archived


@pytest.mark.long
async def test_a_bike_goes_to_a_file_and_comes_back_under_another_name(
    on_bikes: OnBikes, book: BikeBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is read is what was written."""
    monkeypatch.chdir(tmp_path)
    async with on_bikes("enter", "o", "enter") as driver:
        assert (tmp_path / "demo-250.yaml").exists()
        await driver.burst("o", *"bike.yaml", "enter", "escape", "o", "enter")
        assert "there is a bike 'Demo 250' already" in driver.flat()
        await driver.burst(*"Twin", "enter")
        assert "Twin" in driver.text()
    one, two = book.read(NAME), book.read("Twin")
    assert (two.use, two.traits, two.total_hours) == (one.use, one.traits, one.total_hours)
    assert {n: s.answer for n, s in two.now.items()} == {n: s.answer for n, s in one.now.items()}


async def test_a_file_that_is_no_bike_is_refused_in_words(
    on_bikes: OnBikes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """File, line and field."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.yaml").write_text(
        "bike: 1\nname: Bad\nmachine:\n  engine: steam\n", encoding="utf-8"
    )
    async with on_bikes("o", *"bad.yaml", "enter") as driver:
        assert "bad.yaml:4" in told(driver)
        assert "steam" in told(driver)
        await driver.burst("o", *"none.yaml", "enter")
        assert "none.yaml" in told(driver)
        assert driver.screen == "BikesScreen"


async def test_a_store_that_takes_nothing_is_said_and_the_screen_stays(
    on_bikes: OnBikes, book: BikeBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The form's words are in the message of the store; nothing is shown as kept."""

    def full(*_given: Any, **_more: Any) -> None:
        raise UnwritableStore("the disk is full, and nothing more was written")

    async with on_bikes("enter") as driver:
        monkeypatch.setattr(BikeBook, "append", full)
        await driver.burst("a", *"1", "enter")
        assert "the disk is full" in told(driver)
        assert "Kept" not in told(driver)
        assert driver.screen == "BikePage"
        monkeypatch.undo()
        await driver.burst("a", *"1", "enter")
        assert book.read(NAME).total_hours == 11


# -- before a ride -------------------------------------------------------------------------------


async def test_the_list_before_a_ride_is_ticked_off(on_bikes: OnBikes, book: BikeBook) -> None:
    """Ticks stay while the program runs, and go when a ride is logged."""
    async with on_bikes("enter", "s") as driver:
        assert "before a ride: 3 of 3 still to look at" in driver.text()
        await driver.burst("space", "down", "space")
        assert "1 of 3 still" in driver.text()
        assert driver.text().count("[x]") == 2
        await driver.burst("space")
        assert "2 of 3 still" in driver.text()
        await driver.burst("escape", "s")
        assert "2 of 3 still" in driver.text()
        await driver.burst("escape", "a", "escape", "s")
        assert "2 of 3 still" in driver.text()
        await driver.burst("escape", "a", *"1", "enter", "s")
        assert "3 of 3 still" in driver.text()


async def test_a_reading_noted_before_a_ride_is_kept_with_its_day(
    on_bikes: OnBikes, book: BikeBook
) -> None:
    """It ticks the line off; what cannot be measured is only ticked."""
    async with on_bikes("enter", "s") as driver:
        lines = [line for line in driver.text().splitlines() if "[ ]" in line]
        at = next(n for n, line in enumerate(lines) if "Plug gap" in line)
        await driver.burst(*["down"] * at, "r", *"0.8", "enter")
        setting = book.read(NAME).now["plug-gap-reading"]
        assert (str(setting.answer.reading), setting.on) == ("0.8 mm", TODAY)
        assert "0.8 mm (2026-05-20); every 10 h" in driver.flat()


@pytest.mark.long
async def test_a_reading_that_is_off_is_said_and_ticked_all_the_same(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """By the bands of the pack; what is ticked off later was put right since."""
    clock = Standing()
    store = open_memory(clock)
    figure = read_figure(offroad_assessor.rules, "front-tyre-pressure=0.9 bar", "page 4", TODAY)
    BikeBook(store).add("Off", [figure])

    def row(driver: Any) -> str:
        """The row with the lines that it goes on for."""
        lines: list[str] = driver.text().splitlines()
        at = next(n for n, line in enumerate(lines) if "Front tyre pressure" in line)
        rest = takewhile(lambda line: line.startswith(" " * 9), lines[at + 1 :])
        return " ".join([lines[at].rstrip(), *(line.strip() for line in rest)])

    async with open_app(offroad_assessor, open_store=lambda: store) as driver:
        await driver.burst("b", "enter", "s", "down", "r", *"0.8 bar", "enter")
        assert row(driver).startswith("[x]     ", 1)
        assert "0.8 bar, should be 0.9 bar" in row(driver)
        assert "OFF:" not in driver.text()
        await driver.burst("r", *"0.5 bar", "enter")
        assert row(driver).startswith("[x] OFF ", 1)
        assert "0.5 bar, should be 0.9 bar" in row(driver)
        assert "OFF: 0.5 bar, should be 0.9 bar as given." in driver.text()
        await driver.burst("space")
        assert row(driver).startswith("[ ] DUE ", 1)
    clock.moment += timedelta(days=1)
    async with open_app(offroad_assessor, open_store=lambda: store) as driver:
        await driver.burst("b", "enter", "s", "down")
        assert "last 0.5 bar, should be 0.9 bar as given (2026-0" in row(driver)
        await driver.burst("space")
        assert row(driver).startswith("[x]     ", 1)
        assert "should be" not in row(driver)


@pytest.mark.long
async def test_cautions_stand_with_the_line_and_before_its_steps(on_bikes: OnBikes) -> None:
    """Whole on the list, and above the steps where those are read."""
    async with on_bikes("enter", "s") as driver:
        lines = [line for line in driver.text().splitlines() if "[ ]" in line]
        at = next(n for n, line in enumerate(lines) if "Tyre pressure cold" in line)
        await driver.burst(*["down"] * at)
        assert "CAUTION: Pull the plug lead off before you touch the blade." in driver.flat()
        await driver.burst("w")
        words = driver.flat()
        assert words.index("CAUTION: Pull the plug") < words.index("1. Swap it.")
        assert "1. Read it cold." in words
        assert "Source:" in words


# -- the bike of a case --------------------------------------------------------------------------


@pytest.mark.long
async def test_the_bike_of_a_kept_case_is_edited_in_the_store(
    on_bikes: OnBikes, store: Store, rules: RuleBase, book: BikeBook
) -> None:
    """`b` in the interview opens it; the case has the new kind at once."""
    CaseBook(store, rules).begin(Case({}, {}, (Complained("no-start"),)), NAME)
    async with on_bikes("enter", "4", "enter", "g", "b") as driver:
        assert driver.screen == "BikeScreen"
        await driver.burst("home", "down", "down", "enter", "2", "y")
        assert driver.screen == "InterviewScreen"
        assert driver.case.machine["engine"] == "electric"
        assert book.read(NAME).traits["engine"] == "electric"


@pytest.mark.long
async def test_a_case_on_no_kept_bike_can_have_its_own_kind(
    open_app: Any, shop: Assessor, store: Store, book: BikeBook
) -> None:
    """Without a name nothing is kept of it; with one it is."""
    async with open_app(shop, open_store=lambda: store) as driver:
        await driver.burst(
            "enter", "enter", "1", "enter", "enter", "b", "home", "down", "down", "enter", "2", "y"
        )
        assert driver.case.machine == {"engine": "electric"}
        assert len(book.rows()) == 1
        await driver.burst("b", "e", *"Named", "enter", "y")
        assert book.read("Named").traits == {"engine": "electric"}


# -- everything fits, and is under a finger ------------------------------------------------------


@pytest.mark.long
@pytest.mark.parametrize(
    ("size", "large"),
    [((80, 24), False), ((80, 24), True), ((200, 60), False)],
    ids=["80x24", "80x24-large", "200x60"],
)
async def test_everything_fits(on_bikes: OnBikes, size: tuple[int, int], large: bool) -> None:
    """No screen scrolls as a whole, buttons and footer are on it, and rows are left to see."""
    walk = ("", "e", "2", "enter", "escape", "escape", "enter", "2", "3", "4", "a", "escape",
            "r", "escape", "s", "w", "escape")  # fmt: skip
    async with on_bikes(size=size, large=large) as driver:
        for key in walk:
            await driver.burst(*([key] if key else []))
            screen = driver.app.screen
            assert (screen.max_scroll_x, screen.max_scroll_y) == (0, 0), (key, driver.screen)
            footer = screen.query_one("Footer")
            assert footer.region.bottom == size[1], (key, driver.screen)
            assert all(k.region.right <= size[0] for k in footer.query("FooterKey")), key
            for button in screen.query(KeyButton):
                assert button.region.bottom < size[1], (key, driver.screen, button.label)
                assert button.region.right <= size[0], (key, driver.screen, button.label)
                assert button.outer_size.height >= (3 if large else 1), (key, driver.screen)
                assert len(f"[{button.key}] {button.label}") <= button.content_size.width, (
                    driver.screen,
                    button.label,
                )
            for rows in screen.query("RowList"):
                assert not rows.display or rows.size.height >= 3 or not rows.size.height


@pytest.mark.long
async def test_every_button_does_what_its_key_does(on_bikes: OnBikes) -> None:
    """Buttons and keys lead to the same actions, and a touched one does it."""
    names = {"Enter": "enter", "Esc": "escape", "Space": "space", "/": "slash"}
    walk = (
        ((), "Add", "BikeScreen"),
        (("escape", "e"), "Name", "PromptScreen"),
        (("escape", "escape", "enter"), "Add ride", "ShortForm"),
        (("escape", "s"), "Tick it off", "BikeChecksScreen"),
    )
    async with on_bikes() as driver:
        for keys, label, leads_to in walk:
            await driver.burst(*keys)
            screen = driver.app.screen
            for does in screen.query_one(ActionPad).does:
                active = screen.active_bindings[names.get(does.key, does.key)]
                assert active.binding.action in (does.action, "select"), (keys, does)
            (button,) = [b for b in screen.query(KeyButton) if b.label == label]
            await driver.pilot.click(button)
            await driver.settle()
            assert driver.screen == leads_to, label
        assert "[x]" in driver.text()


@pytest.mark.long
async def test_a_form_is_filled_by_touch(on_bikes: OnBikes, book: BikeBook) -> None:
    """A tick and the Keep button."""
    async with on_bikes("enter", "enter", *"5") as driver:
        await driver.pilot.click("TickBox")
        await driver.settle()
        (keep,) = [b for b in driver.app.screen.query(KeyButton) if b.key == "Enter"]
        await driver.pilot.click(keep)
        await driver.settle()
        bike = book.read(NAME)
        assert str(bike.baseline["lever-clicks"].answer.reading) == "5 clicks"


async def test_the_palette_reaches_every_setting_and_bike(on_bikes: OnBikes) -> None:
    """By name, as everything else."""
    async with on_bikes() as driver:
        names = await driver.palette()
        assert f"Look at: {NAME}" in names
        await driver.burst("enter")
        names = await driver.palette()
        assert "Note: Lever, clicks out from closed" in names
        assert any("Log a ride's hours" in name for name in names)


@pytest.mark.long
async def test_keys_typed_ahead_go_where_they_are_meant(on_bikes: OnBikes, book: BikeBook) -> None:
    """Two rides and a setting in one burst."""
    async with on_bikes() as driver:
        driver.send("enter", "a", "1", "enter", "a", "2", "enter", "enter", "5", "enter")
        await driver.settle()
        bike = book.read(NAME)
        assert bike.total_hours == 13
        assert str(bike.now["lever-clicks"].answer.reading) == "5 clicks"


async def test_the_year_is_drawn_figure_by_figure_with_its_marks(
    on_bikes: OnBikes, book: BikeBook, store: Store, rules: RuleBase
) -> None:
    book.append(NAME, [ServiceEntry(clock="hours-blade", on=TODAY - timedelta(days=12))])
    CaseBook(store, rules).begin(Case(events=(Complained("no-start"),)), NAME)
    async with on_bikes("enter", "k") as driver:
        text = driver.text()
        assert driver.screen == "SeasonScreen"
        assert "Hours on the bike: 2 to 10 h in 5 rides" in text
        assert "10 h" in text
        service = (TODAY - timedelta(days=12)).isoformat()
        assert f"s  {service}  service: hours since the blade was checked" in text
        assert f"c  {TODAY.isoformat()}  case 1: Will not start, open" in text
        begun = (TODAY - timedelta(days=40)).isoformat()
        assert f"{NAME}, {begun} to {TODAY.isoformat()}; 1 of 3" in text
        await driver.press("right")
        assert "clicks in 2 readings; baseline 6" in driver.text()
        await driver.press("left", "left")
        assert "3 of 3" in driver.text()
        await driver.press("escape")
        assert driver.screen == "BikePage"
