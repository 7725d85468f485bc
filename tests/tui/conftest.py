"""Driving the app in tests: press keys, wait for workers, never sleep."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import textual.screen
from textual import events
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.keys import _character_to_key, key_to_character
from textual.pilot import Pilot

from diagnose.advice.workshop import Workshop
from diagnose.cards.plain import plain_lines
from diagnose.case.events import Case
from diagnose.diagnosis import Diagnosis
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from tui.app import typeahead
from tui.app.app import BadRideApp
from tui.interview.case_at_work import CaseAtWork


class Driver:
    """An app under test."""

    def __init__(self, app: BadRideApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot

    async def press(self, *keys: str) -> None:
        """Press keys one by one, as a person who looks at the screen in between."""
        for key in keys:
            self.send(key)
            await self.settle()

    def send(self, *keys: str) -> None:
        """Type without waiting."""
        for key in keys:
            name = key if len(key) > 1 or key.isalnum() else _character_to_key(key)
            character = key if len(key) == 1 else key_to_character(name)
            self.app.post_message(events.Key(name, character))

    async def write(self, text: str) -> None:
        """Type text."""
        await self.press(*(" " if c == " " else c for c in text))

    async def settle(self) -> None:
        """Wait until nothing is being worked out."""
        await self.app.at_rest()

    async def go_on_with(self, case: Case) -> None:
        """Show the step of a case that is not kept."""
        at_work = CaseAtWork(Diagnosis(self.app.shop.workshop, case))
        self.app.start(self.app.rooms.cases.look_at(at_work, go_on=True))
        await self.settle()

    @property
    def case(self) -> Any:
        """The case at work."""
        return self.app.rooms.cases.current.case

    @property
    def step(self) -> Any:
        """The step on the card."""
        assessed = self.app.rooms.cases.current.assessed
        assert assessed is not None
        return assessed.assessment.step

    @property
    def screen(self) -> str:
        """The name of the screen on top."""
        return type(self.app.screen).__name__

    def card(self) -> str:
        """The job card on the screen, whole."""
        return "\n".join(plain_lines(self.app.screen.card))  # type: ignore[attr-defined]

    @property
    def said(self) -> list[str]:
        """The messages shown so far."""
        return [notification.message for notification in self.app._notifications]

    def text(self) -> str:
        """What stands on the screen."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(s.text for s in strip) for strip in strips)

    def sent(self) -> str:
        """What reaches the terminal, past the last filter."""
        last = self.app.get_line_filters()[-1]
        background = self.app.screen.styles.background
        strips = self.app.screen._compositor.render_strips()
        return "\n".join(strip.apply_filter(last, background).text for strip in strips)


@pytest.fixture(autouse=True, scope="session")
def _styles_read_once() -> Iterator[None]:
    """Every app, and every screen it opens, reads all styles anew: a tenth of the screens' time."""
    known: dict[Any, list[RuleSet]] = {}
    read = Stylesheet._parse_rules

    def read_once(self: Stylesheet, css: str, *place: Any, **more: Any) -> list[RuleSet]:
        key = (css, place, *more.items(), *sorted(self._variables.items()))
        if key not in known:
            known[key] = read(self, css, *place, **more)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", read_once)
        yield


@pytest.fixture(autouse=True, scope="session")
def _drawn_at_once() -> Iterator[None]:
    """A screen waits up to a sixtieth of a second to be drawn: for every key pressed, minutes."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(textual.screen, "UPDATE_PERIOD", 1 / 1000)
        yield


@pytest.fixture(autouse=True, scope="session")
def _on_any_machine() -> Iterator[None]:
    """A busy machine may take longer to draw than a person's patience lasts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typeahead, "_PATIENCE", 60.0)
        yield


OpenApp = Callable[..., AbstractAsyncContextManager[Driver]]


@pytest.fixture
def open_app() -> OpenApp:
    """`async with open_app(workshop, size=(80, 24)) as driver`."""

    @asynccontextmanager
    async def opened(
        workshop: Workshop, size: tuple[int, int] = (80, 24), **options: Any
    ) -> AsyncIterator[Driver]:
        app = BadRideApp(lambda: workshop, **options)
        async with app.run_test(size=size) as pilot:
            driver = Driver(app, pilot)
            await driver.settle()
            yield driver

    return opened


class Ticking:
    """A clock that goes on a minute whenever it is looked at."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 5, 1, 8, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(minutes=1)
        return self.moment


@pytest.fixture
def open_shop(tmp_path: Path) -> Callable[[], Store]:
    """Opens one store, made when it is first opened; give it to an app or look into it."""
    clock = Ticking()
    place = at_path(tmp_path / "shop" / "store.sqlite")
    return lambda: open_store(place, clock, create=True)
