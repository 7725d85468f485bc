"""A paste that a terminal does not mark as one arrives as thousands of keys at once."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.widgets import Input

from tui.app.typeahead import MOST_WAITING, TypeAheadApp


class Box(TypeAheadApp):
    """An app with one box; `taken` is what was in it when Enter was pressed."""

    taken = ""

    def __init__(self, most: int) -> None:
        super().__init__()
        self._most = most

    def compose(self) -> ComposeResult:
        yield Input(max_length=self._most)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        self.taken = message.value


async def after(most: int, *keys: str) -> Box:
    app = Box(most)
    async with app.run_test():
        for key in keys:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await app.settled()
    return app


async def test_what_a_burst_writes_is_what_single_keys_would_write() -> None:
    app = await after(0, *"ab" * 100, "left", *"c" * 150, "enter")
    assert app.taken == "ab" * 99 + "a" + "c" * 150 + "b"


async def test_a_burst_fills_a_box_to_its_limit_and_the_next_key_is_heard() -> None:
    app = await after(120, *"x" * 3000, "enter")
    assert app.taken == "x" * 120


async def test_no_more_keys_wait_than_anybody_types_ahead() -> None:
    app = Box(0)
    async with app.run_test():
        app.hold_keys()
        for _ in range(MOST_WAITING + 500):
            app.post_message(events.Key("x", "x"))
        app.call_later(app.release_keys)
        await app.settled()
        assert len(app.query_one(Input).value) <= MOST_WAITING
        assert app.drop_typed_keys() == 0
