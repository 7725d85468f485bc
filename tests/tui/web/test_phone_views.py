"""A phone, upright and on its side: every answer is in view, or comes into view under a finger."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from tests.tui.web.browser import Page, chromium
from tests.tui.web.test_serving_browser import (
    _come_in,
    new_page,
    serving,
)

__all__ = ["new_page"]
pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(chromium() is None, reason="there is no Chromium (Debian: apt-get install chromium)"),
]  # fmt: skip
VIEWS = {"upright": (360, 740), "on-its-side": (740, 360)}


@pytest.mark.parametrize("view", VIEWS)
async def test_every_answer_is_in_view_or_scrolled_to_by_touch(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path, view: str
) -> None:
    """Nothing lies beside the window, and what a question can be answered with can be touched."""
    width, height = VIEWS[view]
    async with serving(tmp_path, "--port", "0") as served:
        page = await new_page()
        await page.resize(width, height, phone=True)
        await _come_in(page, await served.link())
        await page.shows("Bike: usual kind")
        await page.rests()
        await page.picture(tmp_path / "start.png")
        # the keys at the foot go on below rather than off the edge
        assert all(key in page.text() for key in ("h Help", "c Cases", "q Quit")), page.text()
        for choice in ("Tyre or damping", "Learn", "Who asks"):
            await page.scrolled_to(choice)
        await page.drag(16)
        await page.key("Enter")
        await page.shows("nothing typed")
        await page.press_button("enter")
        await page.tap("Harsh  harsh")
        await page.tap("Front")
        await page.shows("Picked: Harsh (front)")
        await page.press_button("enter")
        await page.tap("Go on")
        await page.shows("Don't know")
        await page.rests()
        await page.picture(tmp_path / "step.png")
        assert await page.evaluate("document.documentElement.scrollWidth") <= width
        assert await page.evaluate("document.documentElement.scrollHeight") <= height
        for answer in ("Don't know", "Can't"):
            await page.scrolled_to(answer)
        await page.picture(tmp_path / "answers.png")
        before = page.text()
        await page.tap("Don't know")
        await page.changes(before)
