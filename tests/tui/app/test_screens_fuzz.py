"""Anybody at the keyboard: random keys, taps, pastes and window sizes on every screen.

Whatever comes, the program goes on, what was answered is in the store, and there is a way out.
A failure prints what was done; the seed repeats it.
"""

from __future__ import annotations

import asyncio
import random
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.geometry import Size
from textual.widgets import Input

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Noted
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.store import Store
from diagnose.training.records.trainee_book import TraineeBook
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.problems import BadInput
from tests.mower_bikes import settable_shop, stock
from tests.places import MOWER
from tests.tui.conftest import Driver
from tui.app.typeahead import MOST_PASTED
from tui.widgets.key_button import KeyButton

OpenShop = Callable[[], Store]
AWAY = {"escape", "f1", "h", "ctrl+p", "super+c", "ctrl+c", "ctrl+t", "ctrl+l"}
LEAVING = {"ctrl+q", "ctrl+c", "ctrl+z"}
EVERYWHERE = [
    "enter", "enter", "escape", "up", "down", "left", "right", "tab", "shift+tab", "home", "end",
    "pageup", "pagedown", "space", "backspace", "delete", "f1", "ctrl+p", "ctrl+u", "ctrl+t",
    "ctrl+l", "ctrl+a", "ctrl+v", "ctrl+x", "ctrl+j", *"0123456789?/.,+-*!#'\"[]{}%=abcdefghijklmnopqrstuvwxyz",
]  # fmt: skip
WORDS = [
    "harsh", "beats me up", "dead", "13 psi", "0,9 mm", "1,000", "-3", "999999999999", "nan", "12 clicks",
    "Demo 250", "2026-02-30", "9999-12-31", "stale", "case:1", "[b]bold[/b]", "[/]", "[@click=quit]x",
    "\x1b[31m", "🏍️👨\u200d🔧", "e\u0301\u0301", "\u202eabc", "ｆｕｌｌ", "a" * 400,
]  # fmt: skip
PASTES = [
    "", "\n", "25 psi\n13 psi", "\x1b[2J\x1b]0;taken\x07\x1b[31mred", "\x00\x01\x02\x7f\x9b31m", "\r\n" * 50,
    "\u202e\u2066\u200f", "\ud800", "x" * 100_000, "word " * 20_000, "[red]" * 1000,
]  # fmt: skip
# from the start screen into the depth
OPENINGS: list[tuple[str, ...]] = [
    *[("enter", "enter", "1", "enter", "enter")] * 6, *[("n", "enter", "1", "enter", "enter", "tab")] * 2,
    ("enter", "enter", "2", "enter", "enter", "enter", "1", "1"), ("b",), ("b", "enter"), ("b", "a"),
    ("b", "l"), ("b", "s"), ("t",), ("c",), ("c", "enter"), ("l", "enter"), ("l", "enter", "enter", "enter"),
    ("l", "enter", "g"), ("l", "enter", "p"), ("l", "a"), ("o",),
]  # fmt: skip
SIZES = [(20, 5), (30, 10), (40, 12), (60, 20), (80, 24), (120, 36), (200, 60), (300, 100)]


class Anybody:
    """Does one random thing after another to an app, and remembers what."""

    def __init__(self, driver: Driver, book: CaseBook, seed: int) -> None:
        self.driver = driver
        self.book = book
        self.app = driver.app
        self.chance = random.Random(seed)
        self.done: list[str] = [f"seed {seed}"]

    async def do(self) -> None:
        """One thing, and what it leads to."""
        if self.driver.screen == "StartScreen" and self.chance.random() < 0.7:
            await self._press(*self.chance.choice(OPENINGS))
            return
        if isinstance(self.app.focused, Input) and self.chance.random() < 0.6:  # or it stays there
            await self.chance.choice([self._words, self._words, self._close_box])()
            return
        moves = [self._bound_key] * 10 + [self._any_key] * 5 + [self._tap] * 3
        moves += [self._words, self._burst, self._resize, self._paste, self._other_terminal]
        await self.chance.choice(moves)()

    async def _press(self, *keys: str) -> None:
        self.done.append(f"{self.driver.screen}: {' '.join(map(repr, keys))}")
        self.driver.send(*keys)
        await asyncio.wait_for(self.driver.settle(), 60)

    async def _bound_key(self) -> None:
        keys = sorted(
            key
            for key, binding in self.app.screen.active_bindings.items()
            if key not in LEAVING and "quit" not in binding.binding.action
        )
        onward = [key for key in keys if key not in AWAY]
        seldom = self.chance.random() < 0.15 or not onward
        await self._press(self.chance.choice((keys if seldom else onward) or ["escape"]))

    async def _any_key(self) -> None:
        await self._press(self.chance.choice(EVERYWHERE))

    async def _words(self) -> None:
        keys = ["enter"] if self.chance.random() < 0.7 else []
        await self._press(*self.chance.choice(WORDS), *keys)

    async def _close_box(self) -> None:
        await self._press(self.chance.choice(["enter", "escape"]))

    async def _burst(self) -> None:
        """Many keys at once, as from a cat."""
        await self._press(*self.chance.choices(EVERYWHERE, k=12))

    async def _tap(self) -> None:
        size = self.app.size
        at = (self.chance.randrange(size.width), self.chance.randrange(size.height))
        if self.chance.random() < 0.8:  # where there is something to tap
            shown = [w.region for w in self.app.screen.query("*") if w.region.area]
            centres = [(r.x + r.width // 2, r.y + r.height // 2) for r in shown]
            at = self.chance.choice([c for c in centres if size.contains(*c)] or [at])
        self.done.append(f"{self.driver.screen}: tap {at}")
        for kind in (events.MouseDown, events.MouseUp):
            self.app.post_message(
                kind(
                    None,
                    *at,
                    0,
                    0,
                    1,
                    shift=False,
                    meta=False,
                    ctrl=False,
                    screen_x=at[0],
                    screen_y=at[1],
                )
            )
        await asyncio.wait_for(self.driver.settle(), 60)

    async def _resize(self) -> None:
        size = Size(*self.chance.choice(SIZES))
        self.done.append(f"{self.driver.screen}: {size}")
        self.app.post_message(events.Resize(size, size))
        await asyncio.wait_for(self.driver.settle(), 60)

    async def _paste(self) -> None:
        text = self.chance.choice(PASTES)
        self.done.append(f"{self.driver.screen}: paste {text[:20]!r}")
        self.app.post_message(events.Paste(text))
        await asyncio.wait_for(self.driver.settle(), 60)

    async def _other_terminal(self) -> None:
        """Somebody adds a note to the same case elsewhere."""
        at_work = self.app.rooms.cases.at_work
        if at_work is None or at_work.kept is None:
            return
        self.done.append(f"{self.driver.screen}: a note from elsewhere")
        kept = self.book.read(at_work.kept.id)
        with suppress(BadInput):  # a closed case takes none
            self.book.record(kept, kept.case.with_event(Noted("from elsewhere")))

    async def check(self) -> None:
        """What is shown is in the store, with at most a note from elsewhere after it, and steers no
        terminal."""
        assert self.app.return_code in (None, 0)
        at_work = self.app.rooms.cases.at_work
        if at_work is not None and at_work.kept is not None:
            assert not at_work.diagnosis.waiting
            assert at_work.current is not None
            assert at_work.current.case == at_work.case
            stored = self.book.read(at_work.kept.id).case
            assert stored.machine == at_work.case.machine
            assert stored.events[: len(at_work.case.events)] == at_work.case.events
            assert set(stored.events[len(at_work.case.events) :]) <= {Noted("from elsewhere")}
        assert not set(self.driver.text()) & set("\x00\x07\x1b\x7f\x9b\u202e\u2066")

    async def leave(self) -> None:
        """Back to the start, but for questions that must be answered by Escape alone, then out."""
        for _ in range(40):
            if self.driver.screen == "StartScreen":
                break
            top = self.app.screen
            key = "exclamation_mark" if self.driver.screen == "WarningScreen" else "escape"
            # on a small screen the way out may stand below the edge
            if any(button.label == "Drop them" for button in top.query(KeyButton)):
                key = "d"
            if any(button.label == "Stay" for button in top.query(KeyButton)):
                key = "y"  # whether to leave, where Escape means to stay
            await self._press(key)
        assert self.driver.screen == "StartScreen"
        await self._press("ctrl+q")
        assert self.app.return_code == 0


async def walk(
    open_app: Any, assessor: Assessor, store: Store, seed: int, steps: int, **options: Any
) -> None:
    """A random walk of so many steps."""
    book = CaseBook(store, assessor.rules)
    TraineeBook(store).add("Ann")
    size = random.Random(seed).choice(SIZES)
    anybody = None
    try:
        async with open_app(assessor, size=size, open_store=lambda: store, **options) as driver:
            anybody = Anybody(driver, book, seed)
            for _ in range(steps):
                if driver.app.return_code is not None:
                    return
                await anybody.do()
                await anybody.check()
            await anybody.leave()
    except BaseException as error:
        if anybody is not None:
            error.add_note("\n".join(anybody.done[-40:]))
        raise


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are written beside the test's own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))


async def in_the_shop(
    open_app: Any, open_shop: OpenShop, folder: Path, seed: int, steps: int
) -> None:
    """With a bike that has rides, settings and services."""
    shop, store = settable_shop(folder), open_shop()
    stock(store, shop.rules)
    await walk(open_app, shop, store, seed, steps)


@pytest.mark.parametrize("seed", [0, pytest.param(1, marks=pytest.mark.long)])
async def test_anybody_may_do_anything(
    open_app: Any, open_shop: OpenShop, tmp_path_factory: pytest.TempPathFactory, seed: int
) -> None:
    await in_the_shop(open_app, open_shop, tmp_path_factory.mktemp("pack"), seed, 25)


@pytest.mark.long
async def test_so_may_a_trainee(
    open_app: Any, open_shop: OpenShop, mower_assessor: Assessor
) -> None:
    await walk(open_app, mower_assessor, open_shop(), 2, 25, packs=(MOWER,))


@pytest.mark.parametrize(
    ("pasted", "line"),
    [
        ("25 psi\n13 psi", "25 psi"),
        pytest.param("\r\n\n  12 clicks \r\n", "12 clicks", marks=pytest.mark.long),
        ("\x1b[2J\x1b]0;taken\x07\x1b[31mred", "[2J]0;taken[31mred"),
        ("\x00\x01\x7f\x9b\u202e\u2066\ud800", ""),
        pytest.param("a\tb", "a b", marks=pytest.mark.long),
        pytest.param("", "", marks=pytest.mark.long),
    ],
)
async def test_of_a_paste_a_harmless_line_is_taken(
    open_app: Any, mower_assessor: Assessor, pasted: str, line: str
) -> None:
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "j")
        driver.app.post_message(events.Paste(pasted))
        await driver.settle()
        assert driver.app.screen.query_one(Input).value == line


async def test_megabytes_pasted_are_cut_short(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "j")
        driver.app.post_message(events.Paste("x" * 5_000_000))
        await driver.settle()
        assert len(driver.app.screen.query_one(Input).value) == MOST_PASTED


async def test_a_paste_waits_its_turn_among_the_keys(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """It lands in the box that the key before it opens, and the key after it closes that box."""
    async with open_app(mower_assessor) as driver:
        driver.send("enter", "enter", "1", "enter", "enter", "j")
        driver.app.post_message(events.Paste("pasted at once"))
        driver.send("enter")
        await driver.settle()
        assert driver.case.events[-1] == Noted("pasted at once")


@pytest.mark.long
@pytest.mark.faults
@pytest.mark.parametrize("seed", range(100, 106))
async def test_anybody_may_go_on_for_long(
    open_app: Any, open_shop: OpenShop, tmp_path_factory: pytest.TempPathFactory, seed: int
) -> None:
    await in_the_shop(open_app, open_shop, tmp_path_factory.mktemp("pack"), seed, 200)


@pytest.mark.long
@pytest.mark.faults
@pytest.mark.parametrize("seed", range(150, 154))
async def test_so_may_a_trainee_for_long(
    open_app: Any, open_shop: OpenShop, mower_assessor: Assessor, seed: int
) -> None:
    await walk(open_app, mower_assessor, open_shop(), seed, 200, packs=(MOWER,))


@pytest.mark.long
@pytest.mark.faults
@pytest.mark.parametrize("seed", range(200, 204))
async def test_the_shipped_pack_bears_it_too(
    open_app: Any, open_shop: OpenShop, offroad_assessor: Assessor, seed: int
) -> None:
    await walk(open_app, offroad_assessor, open_shop(), seed, 120, examples=OFFROAD / WORKED_CASES)
