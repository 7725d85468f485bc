"""How a program that shows on a page talks with the server that started it."""

from __future__ import annotations

import asyncio
import base64
import binascii
import os
import threading
from contextlib import suppress
from typing import Any

from textual import messages
from textual.drivers.web_driver import WebDriver


class PageDriver(WebDriver):
    """Textual's driver for pages, which also ends with its server, can go on on another page, and
    is the `Page` of its app: `app.page`."""

    def __init__(self, app: Any, **options: Any) -> None:
        super().__init__(app, **options)
        app.page = self
        self._turn = threading.Lock()
        self._write = self._write_whole  # type: ignore[assignment]
        self._wanted: dict[str, object] | None = None
        self._awaits = ""
        self._answer: asyncio.Future[dict[str, object]] | None = None

    def _write_whole(self, data: bytes) -> int:
        """Write one packet, which no other thread breaks up. A server that is gone reads nothing,
        and that is no error of the program's: it ends when its input does."""
        with self._turn, suppress(BrokenPipeError):
            left = memoryview(data)
            while left:
                left = left[os.write(self.fileno, left) :]
        return len(data)

    def run_input_thread(self) -> None:
        """Pass on what comes in, and end the program when nothing more can come."""
        super().run_input_thread()
        if not self.exit_event.is_set():
            self._app.post_message(messages.ExitApp())

    def on_meta(self, packet_type: str, payload: dict[str, object]) -> None:
        """Do what the server asks; `attach` is a new page that has seen nothing yet."""
        if packet_type == "attach":
            self.write("\x1b[?1049h\x1b[?25l")
            self._enable_mouse_support()
            self._enable_bracketed_paste()
            super().on_meta("resize", payload)
            self._app.call_from_thread(self._attached)
        elif packet_type in ("given", "taken"):
            self._app.call_from_thread(self._answered, packet_type, payload)
        else:
            super().on_meta(packet_type, payload)

    def _attached(self) -> None:
        self._app.refresh(layout=True)
        if self._wanted is not None:
            self.write_meta(self._wanted)

    # -- files of the guest's device (see `tui.services.page.Page`) ------------------------------

    async def take_file(self) -> tuple[str, bytes]:
        """Let the guest choose a file of the device; its name and what it holds."""
        while True:
            given = await self._ask({"type": "take-file"}, "given")
            with suppress(binascii.Error):
                return str(given["name"]), base64.b64decode(str(given["content"]), validate=True)

    async def hand_over(self, name: str, content: bytes) -> None:
        """Offer a file to the guest; returns once the device has taken it."""
        held = base64.b64encode(content).decode("ascii")
        await self._ask({"type": "hand-over", "name": name, "content": held}, "taken")

    async def _ask(self, wanted: dict[str, object], answer: str) -> dict[str, object]:
        self._wanted, self._answer = wanted, asyncio.get_running_loop().create_future()
        self._awaits = answer
        self.write_meta(wanted)
        try:
            return await self._answer
        finally:
            self._wanted = self._answer = None
            self.write_meta({"type": "no-file"})

    def _answered(self, kind: str, payload: dict[str, object]) -> None:
        """What comes unasked for, or is no answer to what was asked, is left."""
        if self._answer is not None and not self._answer.done() and kind == self._awaits:
            self._answer.set_result(payload)
