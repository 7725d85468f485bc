"""A touch at a moment when it cannot be understood."""

from __future__ import annotations

import threading

from textual import events

from diagnose.advice.assessor import Assessor
from tui.app.app import BadRideApp
from tui.widgets.key_button import KeyButton


async def touch(app: BadRideApp, button: KeyButton) -> None:
    """A press and a release as the terminal tells them; the pilot's own click goes past the app."""
    x, y = button.region.center
    for kind in (events.MouseDown, events.MouseUp):
        app.post_message(kind(None, int(x), int(y), 0, 0, 1, False, False, False))


async def test_a_touch_while_the_rule_base_loads_is_not_taken(mower_assessor: Assessor) -> None:
    go = threading.Event()

    def slow() -> Assessor:
        assert go.wait(20)
        return mower_assessor

    app = BadRideApp(slow)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        button = app.screen.query(KeyButton).first()
        before = type(app.screen)
        await touch(app, button)
        await pilot.pause()
        go.set()
        await app.settled()
        assert type(app.screen) is before
        await touch(app, button)
        await pilot.pause()
        await app.settled()
        assert type(app.screen) is not before
