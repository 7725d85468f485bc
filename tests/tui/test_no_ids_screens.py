"""No id on any screen of the app, on the pack that ships: what is shown, below its end as well."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from datetime import timedelta
from typing import get_args

import pytest
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import OBSERVING, Step, StepKind
from diagnose.advice.reasons import AnswersClash, NoComplaintYet, NothingPays, Proven, RideDue
from diagnose.case.events import Case, Complained, Corrected, Rode, read_answer, read_target
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_figure, read_setting
from diagnose.records.bikes.bike_journal import FactsEntry, RideEntry, ServiceEntry
from diagnose.records.bikes.service import clocks
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store import Store
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase
from tests.clocks import TODAY, Standing
from tests.known_ids import ids_in, known_ids
from tests.tui.conftest import Driver, OpenApp

SIZES = [(80, 24), pytest.param((120, 40), marks=pytest.mark.long)]
BIKE = "Demo"
LOUD = ("front-tyre-gauge", "25 psi")
CLASH = (("rear-adjuster-left", "40 mm"), ("rear-adjuster-right", "2 mm"))

Opened = Callable[..., AbstractAsyncContextManager[Driver]]


def texts_of(driver: Driver) -> Iterator[str]:
    """What stands on the screen, and what it would show if there were room for all of it."""
    yield driver.flat()
    for static in driver.app.screen.query(Static):
        yield str(static.content)
    for rows in driver.app.screen.query(OptionList):
        yield from (str(option.prompt) for option in rows.options)


class Reader:
    """Reads every screen that a walk comes to."""

    def __init__(self, driver: Driver, rules: RuleBase) -> None:
        self.driver, self._rules = driver, rules
        self.seen: set[str] = set()
        self.found: dict[str, str] = {}

    async def press(self, *keys: str) -> None:
        """Press the keys, then read the screen."""
        await self.driver.burst(*keys)
        await self.read()

    async def read(self) -> None:
        """Read the screen on top and what the palette offers there."""
        self.seen.add(self.driver.screen)
        texts = [*texts_of(self.driver), *await self.driver.palette(), *self.driver.said]
        # a line may end at a hyphen
        whole = [re.sub(r"-\s+", "-", text) for text in texts]
        for word, text in ids_in(self._rules, [*texts, *whole]).items():
            self.found.setdefault(f"{self.driver.screen}: {word}", text)


def steps_of(rules: RuleBase) -> Iterator[Step]:
    """A step of every kind."""
    for kind in OBSERVING.values():
        name, entry = next(
            (name, entry)
            for name, entry in rules.observations.items()
            if OBSERVING[entry.kind] == kind
        )
        yield Step(kind, name, None, entry.minutes)
    correction = next(iter(rules.corrections))
    clash = next(name for name, rule in rules.rules.items() if rule.then.contradiction)
    yield Step("correct", correction, None, 5.0, "safety first")
    yield Step("confirm", correction, RideDue(), 20.0, "one change at a time")
    yield Step("check-again", clash, AnswersClash(clash, rules.rules[clash].then.check), 1.0)
    yield Step("complain", "", NoComplaintYet(), 0.5)
    yield Step("close", "", Proven(), 1.0)
    yield Step("hand-over", "", NothingPays(next(iter(rules.causes)), 0.3, 0.4), 60.0)


def case_of(rules: RuleBase, *readings: tuple[str, str]) -> Case:
    case = Case().with_event(Complained("harsh", "front"))
    for name, reading in readings:
        case = case.with_event(read_answer(rules, name, reading))
    return case


@pytest.fixture
def store(offroad: RuleBase) -> Store:
    """A bike with services, rides, settings, a figure and two cases."""
    kept = open_memory(Standing())
    start = TODAY - timedelta(days=90)
    BikeBook(kept).add(
        BIKE,
        [
            FactsEntry(),
            read_figure(offroad, "front-tyre-pressure=13 psi", "manual, page 4", start),
            read_setting(offroad, "front-tyre-gauge=13 psi", start, baseline=True),
            read_setting(offroad, "fork-rebound-clicks=12 clicks", start, baseline=True),
            read_setting(offroad, "front-tyre-gauge=16 psi", TODAY, baseline=False),
            *(ServiceEntry(clock=clock, on=start) for clock in clocks(offroad)),
            *(RideEntry(on=TODAY - timedelta(days=7 * n), hours=3) for n in range(9, 0, -1)),
        ],
    )
    book = CaseBook(kept, offroad)
    for _ in range(2):
        book.begin(case_of(offroad, LOUD), BIKE)
    return kept


@pytest.fixture
def opened(open_app: OpenApp, offroad_assessor: Assessor, store: Store) -> Opened:
    """The app on the pack that ships and the store, at a size."""

    def open_at(size: tuple[int, int]) -> AbstractAsyncContextManager[Driver]:
        return open_app(
            offroad_assessor, size, open_store=lambda: store, examples=OFFROAD / WORKED_CASES
        )

    return open_at


@pytest.mark.parametrize("size", SIZES)
async def test_a_case_has_no_ids(opened: Opened, offroad: RuleBase, size: tuple[int, int]) -> None:
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        await reader.press()
        for keys in (("enter", *"harsh"), ("enter",), ("2", "enter"), ("a", "enter")):
            await reader.press(*keys)
        for keys in (("tab",), ("down", "enter"), ("tab",)):
            await reader.press(*keys)
        for keys in (("w",), ("tab",), ("down",), ("p",), ("escape", "e"), ("enter",), ("escape",)):
            await reader.press(*keys)
        for keys in (("escape", "k"), ("tab",), ("c",), ("escape", "escape", "f1")):
            await reader.press(*keys)
    assert reader.found == {}
    assert reader.seen == {
        "StartScreen", "StoryScreen", "HeardScreen", "CheckInScreen", "InterviewScreen",
        "WhyScreen", "CausesScreen", "PlanScreen", "EarlierScreen", "JobCardScreen",
        "AnswerScreen", "RowsScreen", "HelpScreen", "SheetScreen",
    }  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
async def test_steps_of_every_kind_have_no_ids(
    opened: Opened, offroad: RuleBase, size: tuple[int, int]
) -> None:
    steps = list(steps_of(offroad))
    assert {step.kind for step in steps} == set(get_args(StepKind))
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        await driver.go_on_with(case_of(offroad, LOUD, *CLASH))
        at_work = driver.app.rooms.cases.current
        for step in steps:
            assessed = at_work.assessed
            assert assessed is not None
            at_work.current = replace(assessed, assessment=replace(assessed.assessment, step=step))
            driver.app.refresh_top()
            await reader.press()
    assert reader.found == {}
    assert reader.seen == {"InterviewScreen"}


@pytest.mark.parametrize("size", SIZES)
async def test_a_repaired_bike_and_its_card_have_no_ids(
    opened: Opened, offroad: RuleBase, size: tuple[int, int]
) -> None:
    """After a correction and a ride, and with a bike that must not be ridden."""
    loose = case_of(offroad, LOUD).with_event(read_answer(offroad, "chain-slack", "95 mm"))
    loose = replace(loose, targets=dict([read_target(offroad, "chain-slack", "50 mm")]))
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        await driver.go_on_with(loose)
        await reader.press()
        await driver.burst("!")
        correction = driver.plan[0]
        await driver.go_on_with(loose.with_event(Corrected(correction)).with_event(Rode("better")))
        await driver.burst("!")
        for keys in ((), ("tab",), ("tab", "e"), ("escape", "k"), ("tab",)):
            await reader.press(*keys)
    assert reader.found == {}
    assert reader.seen == {
        "WarningScreen", "InterviewScreen", "SheetScreen", "EarlierScreen", "JobCardScreen",
    }  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
async def test_bikes_and_kept_cases_have_no_ids(
    opened: Opened, offroad: RuleBase, size: tuple[int, int]
) -> None:
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        for keys in (
            ("b",),
            ("e",),
            ("3", "enter"),
            ("escape", "2", "enter"),
            ("escape", "escape"),
        ):
            await reader.press(*keys)
        for keys in (("enter",), ("2",), ("3",), ("4",), ("1", "a"), ("escape", "f"), ("1",)):
            await reader.press(*keys)
        for keys in (("escape", "r"), ("enter",), ("escape", "s"), ("w",), ("escape", "r")):
            await reader.press(*keys)
        for keys in (("escape", "escape", "g"), ("escape", "c"), ("enter",), ("c",)):
            await reader.press(*keys)
        for keys in (("escape",) * 3, ("k",), ("enter",)):
            await reader.press(*keys)
    assert reader.found == {}
    assert reader.seen == {
        "BikesScreen", "BikeScreen", "ShortForm", "BikePage", "PickScreen", "FindScreen",
        "BikeChecksScreen", "ReadScreen", "KnownScreen", "StartScreen", "CasesScreen", "WarningScreen",
        "JobCardScreen", "RowsScreen",
    }  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
async def test_harshness_has_no_ids(
    opened: Opened, offroad: RuleBase, size: tuple[int, int]
) -> None:
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        for keys in (("t",), ("right",) * 8, ("e",), ("escape", "r"), ("escape", "w")):
            await reader.press(*keys)
    assert reader.found == {}
    assert reader.seen == {"HarshScreen", "PickScreen", "PromptScreen", "HarshWhyScreen"}


@pytest.mark.parametrize("size", SIZES)
async def test_training_has_no_ids(
    opened: Opened, offroad: RuleBase, size: tuple[int, int]
) -> None:
    """Words and an example, a case with coach, a correction with cautions, the score, the review,
    how it all stands, the sign-off."""
    async with opened(size) as driver:
        reader = Reader(driver, offroad)
        for keys in (("l",), ("escape", "a", *"Ann"), ("enter",), ("g",), ("w",), ("d",)):
            await reader.press(*keys)
        for keys in (("escape", "escape", "enter"), ("end",), ("right",), ("e", "g")):
            await reader.press(*keys)
        for keys in (("enter",), ("enter", "g"), ("1",), ("enter",), ("k",), ("escape", "?")):
            await reader.press(*keys)
        for keys in (("y",), ("C", "enter"), ("v",), ("escape", "escape", "f"), ("f",), ("g",)):
            await reader.press(*keys)
        for keys in (("enter",), ("enter",), ("escape", "w"), ("end",), ("escape",) * 3):
            await reader.press(*keys)
        for keys in (("k",), ("escape", "f"), ("enter", "f"), ("escape", "escape", "c")):
            await reader.press(*keys)
        for keys in (("escape", "end"), ("enter",), ("escape", "escape")):
            await reader.press(*keys)
    assert reader.found == {}
    assert reader.seen == {
        "TraineesScreen", "ShortForm", "CourseScreen", "UnitScreen", "EncounterScreen",
        "CoachScreen", "MoveScreen", "PickScreen", "ReadScreen", "ScoreScreen", "ReviewScreen",
        "ProgressScreen", "RowsScreen", "WordsScreen", "DrawingScreen", "WorkedScreen",
        "SignOffScreen",
    }  # fmt: skip


async def test_an_id_on_a_screen_would_be_found(opened: Opened, offroad: RuleBase) -> None:
    """Below the end of a text, and where a line ends at its hyphen."""
    one = min(known_ids(offroad))
    async with opened((80, 24)) as driver:
        for text in (one, one.replace("-", "-\n", 1)):
            reader = Reader(driver, offroad)
            driver.app.screen.query_one("#status", Static).update(Content("x\n" * 60 + text))
            await reader.press()
            assert reader.found.keys() == {f"StartScreen: {one}"}
