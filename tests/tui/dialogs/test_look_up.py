"""What is looked up while a screen goes is not shown on it."""

from __future__ import annotations

import asyncio
from typing import Any

from textual.app import ComposeResult
from textual.widgets import Static

from diagnose.advice.assessor import Assessor
from tui.dialogs.base import CardScreen


class _Leaves(Static):
    """Takes its time to go, and lets the look-up end meanwhile."""

    def __init__(self, gone: asyncio.Event) -> None:
        super().__init__("here")
        self._gone = gone

    async def on_unmount(self) -> None:
        self._gone.set()
        await asyncio.sleep(0.1)


class _Looks(CardScreen[None]):
    def __init__(self, gone: asyncio.Event) -> None:
        super().__init__()
        self._gone = gone

    def compose(self) -> ComposeResult:
        yield _Leaves(self._gone)


async def test_nothing_is_shown_on_a_screen_that_goes_with_the_program(
    open_app: Any, mower_assessor: Assessor
) -> None:
    gone, shown = asyncio.Event(), list[bool]()
    async with open_app(mower_assessor) as driver:
        screen = _Looks(gone)
        await driver.app.push_screen(screen)
        screen.look_up(gone.wait, shown.append)
        await driver.pilot.pause()
    assert gone.is_set() and shown == []
