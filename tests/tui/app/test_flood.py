"""More keys than anybody types."""

from __future__ import annotations

import os
import select
from typing import Any

from textual import events
from textual.driver import Driver
from textual.geometry import Size

from tui.app.flood import bounded
from tui.app.typeahead import MOST_WAITING, TypeAheadApp


class Terminal(Driver):
    """A driver that only keeps what it hands on, and reads from a pipe."""

    def __init__(self, app: Any, fileno: int) -> None:
        self._app, self.fileno = app, fileno
        self.handed_on: list[Any] = []

    def process_message(self, message: Any) -> None:
        self.handed_on.append(message)

    def write(self, data: str) -> None: ...
    def start_application_mode(self) -> None: ...
    def disable_input(self) -> None: ...
    def stop_application_mode(self) -> None: ...


def key(letter: str) -> events.Key:
    return events.Key(letter, letter)


def test_keys_beyond_those_that_may_wait_go_unread_but_leaving_works() -> None:
    read, write = os.pipe()
    os.set_blocking(write, False)
    made: Any = bounded(Terminal)
    driver = made(TypeAheadApp(), read)
    for _ in range(MOST_WAITING):
        driver.process_message(key("x"))
    assert len(driver.handed_on) == MOST_WAITING
    sent = os.write(write, b"x" * 50_000)
    assert sent == 50_000
    driver.process_message(key("x"))
    driver.process_message(events.Key("ctrl+q", None))
    resized = events.Resize(*[Size(80, 24)] * 2)
    driver.process_message(resized)
    assert [str(getattr(m, "key", "resize")) for m in driver.handed_on[MOST_WAITING:]] == ["ctrl+q", "resize"]  # fmt: skip
    assert not select.select([read], [], [], 0)[0]
    os.close(read)
    os.close(write)
