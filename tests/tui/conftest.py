"""Driving the app in tests: press keys, wait for workers, never sleep."""

from __future__ import annotations

import asyncio
import unicodedata
from collections.abc import AsyncIterator, Callable, Iterable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress
from itertools import takewhile
from pathlib import Path
from typing import Any

import pytest
import textual.screen
from textual import events
from textual._compositor import Compositor
from textual.css import stylesheet
from textual.css.model import RuleSet
from textual.css.parse import parse
from textual.css.tokenizer import Token
from textual.keys import KEY_NAME_REPLACEMENTS, key_to_character
from textual.pilot import Pilot
from textual.strip import Strip
from textual.widgets import Input, TextArea

from diagnose.advice.assessor import Assessor
from diagnose.cards.plain import plain_lines
from diagnose.case.events import Case
from diagnose.diagnosis import Diagnosis
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from tests.clocks import Ticking
from tui.app import typeahead
from tui.app.app import BadRideApp
from tui.app.palette import CardActions
from tui.interview.case_at_work import CaseAtWork
from tui.services.shell import LOOKS


def name_of(character: str) -> str:
    """The name that Textual has for the key that types this character."""
    name = unicodedata.name(character, character).lower().replace("-", "_").replace(" ", "_")
    return KEY_NAME_REPLACEMENTS.get(name, name)


class Driver:
    """An app under test."""

    pilot: Pilot[None]
    """Set once the app runs."""

    def __init__(self, app: BadRideApp) -> None:
        self.app = app
        self.said: list[str] = []
        """The messages shown so far."""
        self._listen()

    def _listen(self) -> None:
        notify = self.app.notify

        def heard(message: str, **how: Any) -> None:
            self.said.append(message)
            notify(message, **how)

        self.app.notify = heard  # type: ignore[method-assign]

    async def press(self, *keys: str) -> None:
        """Press keys one by one, as a person who looks at the screen in between; words typed into a
        box are looked at when they stand there."""
        waiting = list(keys)
        while waiting:
            is_typing = isinstance(self.app.focused, Input | TextArea)
            words = list(takewhile(lambda key: len(key) == 1, waiting)) if is_typing else []
            count = max(1, len(words))
            self.send(*waiting[:count])
            del waiting[:count]
            await self.settle()

    def send(self, *keys: str) -> None:
        """Type keys without waiting for what they do."""
        for key in keys:
            name = key if len(key) > 1 or key.isalnum() else name_of(key)
            character = key if len(key) == 1 else key_to_character(name)
            self.app.post_message(events.Key(name, character))

    async def burst(self, *keys: str) -> None:
        """Type keys without waiting in between, then wait until all is worked out."""
        self.send(*keys)
        await self.settle()

    async def write(self, text: str) -> None:
        """Type a text, a key for each character, and wait."""
        await self.press(*text)

    async def settle(self) -> None:
        """Wait until nothing is being worked out, what came of it is laid out, and laying it out has
        led to nothing more. Where another screen has come up, what had asked for the one before may
        only then go on, so it is waited for once more."""
        before, screen = self.app.screen, None
        while self._goes_on() and screen is not before:
            before = screen or before
            await self.app.at_rest()
            screen = self.app.screen
            laid_out = asyncio.Event()
            screen.call_after_refresh(laid_out.set)
            # a screen that is being left lays nothing out
            while not laid_out.is_set() and self._goes_on() and screen is self.app.screen:
                with suppress(TimeoutError):
                    await asyncio.wait_for(laid_out.wait(), 0.05)
            if self.app.is_holding or any(one.group == LOOKS for one in self.app.workers):
                screen = None

    async def held(self) -> None:
        """Wait until keys are held for what is being worked out."""
        for _ in range(400):
            if self.app.is_holding:
                return
            await self.pilot.pause()
        raise AssertionError(f"no keys are held on {self.screen}: {self.flat()}")

    def _goes_on(self) -> bool:
        """Whether the app has not been left."""
        return self.app.is_running and self.app.return_code is None

    async def go_on_with(self, case: Case) -> None:
        """Show the step of a case that is not kept."""
        at_work = CaseAtWork(Diagnosis(self.app.shop.assessor, case))
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
    def plan(self) -> tuple[str, ...]:
        """The corrections worth trying, in their order."""
        assessed = self.app.rooms.cases.current.assessed
        assert assessed is not None
        return tuple(assessed.assessment.plan.corrections)

    async def palette(self) -> list[str]:
        """What the command palette offers on the screen on top."""
        return [str(hit.prompt) async for hit in CardActions(self.app.screen).discover()]

    def strips(self) -> list[Strip]:
        """The lines on the screen as they are drawn; Textual offers no public way to them."""
        return self.app.screen._compositor.render_strips()

    def text(self) -> str:
        """What stands on the screen."""
        return "\n".join("".join(s.text for s in strip) for strip in self.strips())

    def flat(self) -> str:
        """The text of the screen, however it is broken into lines."""
        return " ".join(self.text().replace("│", " ").split())

    def sent(self) -> str:
        """What reaches the terminal, past the last filter."""
        last = self.app.get_line_filters()[-1]
        background = self.app.screen.styles.background
        return "\n".join(strip.apply_filter(last, background).text for strip in self.strips())


@pytest.fixture(autouse=True, scope="session")
def _styles_read_once() -> Iterator[None]:
    """Every app, and every screen it opens, reads all styles anew: a tenth of the screens' time."""
    known: dict[Any, list[RuleSet]] = {}
    read: Callable[..., Iterable[RuleSet]] = parse
    named: dict[int, tuple[Any, Any]] = {}

    def values(variables: dict[str, list[Token]]) -> Any:
        """What tells variables apart; worked out once for each theme of each app."""
        if id(variables) not in named:
            key = tuple((k, *(token.value for token in v)) for k, v in sorted(variables.items()))
            named[id(variables)] = (variables, key)
        return named[id(variables)][1]

    def read_once(
        *place: Any, variable_tokens: dict[str, list[Token]], **more: Any
    ) -> list[RuleSet]:
        key = (place, *more.items(), values(variable_tokens))
        if key not in known:
            known[key] = list(read(*place, variable_tokens=variable_tokens, **more))
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stylesheet, "parse", read_once)
        yield


@pytest.fixture(autouse=True, scope="session")
def _drawn_at_once() -> Iterator[None]:
    """A screen waits up to a sixtieth of a second to be drawn: for every key pressed, minutes. And
    it is drawn for no terminal; `Driver.strips` draws what a test looks at, whole."""

    draw = Compositor.render_update

    def undrawn(compositor: Compositor, full: bool = False, **how: Any) -> Any:
        if full:  # a picture is taken
            return draw(compositor, full, **how)
        return compositor._dirty_regions.clear()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(textual.screen, "UPDATE_PERIOD", 1 / 1000)
        patch.setattr(Compositor, "render_update", undrawn)
        yield


@pytest.fixture(autouse=True, scope="session")
def _on_any_machine() -> Iterator[None]:
    """A busy machine may take longer to draw than a person's patience lasts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typeahead, "PATIENCE", 60.0)
        yield


OpenApp = Callable[..., AbstractAsyncContextManager[Driver]]


@pytest.fixture
def open_app() -> OpenApp:
    """`async with open_app(assessor, size=(80, 24)) as driver`."""

    @asynccontextmanager
    async def opened(
        assessor: Assessor, size: tuple[int, int] = (80, 24), **options: Any
    ) -> AsyncIterator[Driver]:
        app = BadRideApp(lambda: assessor, **options)
        driver = Driver(app)
        async with app.run_test(size=size) as driver.pilot:
            await driver.settle()
            yield driver
            if app.is_running:
                driver.strips()

    return opened


@pytest.fixture
def open_shop(tmp_path: Path) -> Callable[[], Store]:
    """Opens one store, made when it is first opened; give it to an app or look into it."""
    clock = Ticking()
    place = at_path(tmp_path / "shop" / "store.sqlite")
    return lambda: open_store(place, clock, create=True)
