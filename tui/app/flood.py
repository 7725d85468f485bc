"""A terminal that sends more than anybody types: a paste without its signs, or a stuck key.

Textual takes a key through several queues, which for a megabyte takes minutes and half a gigabyte.
So keys beyond what an app lets wait are thrown away where they come in.
"""

from __future__ import annotations

import os
import select

from textual import events
from textual.driver import Driver
from textual.message import Message

_CHUNK = 65_536


def bounded(driver: type[Driver]) -> type[Driver]:
    """`driver`, but it hands on only the keys that its app `takes`, which it asks from the thread
    that reads the terminal. With the first key not taken all else that has come goes too, unread.
    """

    class Bounded(driver):  # type: ignore[misc, valid-type]
        def process_message(self, message: Message) -> None:
            if isinstance(message, events.Key) and not self._app.takes(message):
                _throw_away(getattr(self, "fileno", None), is_terminal=not self.is_web)
                return
            super().process_message(message)

    return Bounded


def _throw_away(fileno: int | None, *, is_terminal: bool) -> None:
    if fileno is None or not is_terminal:  # a page's input is in packets, each of them short
        return
    while select.select([fileno], [], [], 0)[0] and os.read(fileno, _CHUNK):
        pass
