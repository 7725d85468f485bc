"""One program that shows on a page."""

from __future__ import annotations

import asyncio
import json
import os
import re
import shlex
from asyncio.subprocess import PIPE, Process
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import Any

from aiohttp import WSCloseCode, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

MOVED, FULL, IDLE, BROKE, GAVE_WAY = range(4001, 4006)
"""Why a page has no program, as WebSocket close codes; `page.js` says them in words."""

_MOST_COLUMNS, _MOST_ROWS = 400, 200
_LONGEST_NAME = 100
_LONGEST_INPUT = 4_000
"""Letters that one message of a page may type; a longer paste is cut, as every box would."""
_PASTE_BEGINS, _PASTE_ENDS = "\x1b[200~", "\x1b[201~"

FOR_THE_PAGE = frozenset({"take-file", "hand-over", "no-file"})
"""What a program may say to its page besides what it draws; all else that Textual knows stays
here, so that a program opens no address in a guest's browser."""

# where programs and folders are, languages and time, this program's own, and what libpq reads
_HANDED_ON = re.compile(
    r"PATH|HOME|USER|LOGNAME|LANG|LANGUAGE|LC_\w+|TZ|TMPDIR|PYTHONPATH|XDG_\w+|NO_COLOR"
    r"|TEXTUAL_ANIMATIONS|SYSTEMROOT|USERPROFILE|APPDATA|LOCALAPPDATA|TEMP|TMP|BADRIDE_\w+|PG\w+"
)


def cleaned(environment: Mapping[str, str]) -> dict[str, str]:
    """What a served program needs of an environment; nothing else reaches it."""
    return {name: value for name, value in environment.items() if _HANDED_ON.fullmatch(name)}


class Program(AppService):
    """A child process that shows on one page at a time and outlives a dropped connection.

    Times are those of `clock`, in seconds. A process that still runs `ends_within` seconds after it
    was asked to end is terminated.
    """

    def __init__(
        self, command: Sequence[str], clock: Callable[[], float], ends_within: float = 3.0
    ) -> None:
        super().__init__(
            shlex.join(command),
            write_bytes=self._show,
            write_str=self._tell,
            close=self._said_goodbye,
            download_manager=DownloadManager(),
        )
        self._argv = tuple(command)
        self._clock = clock
        self._ends_within = ends_within
        self._page: web.WebSocketResponse | None = None
        self.used = clock()
        """When the last input came."""
        self.left: float | None = None
        """Since when no page shows it."""
        self._leaving = False
        self._tail = ""  # of what was typed: the sign of a paste may come in two messages

    @property
    def has_ended(self) -> bool:
        """Whether the program has ended, even if its process still runs for a moment."""
        gone = self._process is None or self._process.returncode is not None
        return gone or self._leaving

    async def begin(self, page: web.WebSocketResponse, width: int, height: int) -> None:
        """Start it on `page`, of so many columns and rows."""
        self._page = page
        await self.start(*_within(width, height))

    async def move(self, page: web.WebSocketResponse, width: int, height: int) -> None:
        """Go on where it was, on another page."""
        await self._close(MOVED)
        self._page, self.left = page, None
        columns, rows = _within(width, height)
        await self._ask({"type": "attach", "width": columns, "height": rows})

    def leave(self, page: web.WebSocketResponse) -> None:
        """`page` is gone; the program waits for another."""
        if self._page is page:
            self._page, self.left = None, self._clock()

    async def end(self, code: int = WSCloseCode.OK) -> None:
        """Ask it to end, then terminate it, then kill it. Returns when the process is gone."""
        await self._close(code)
        process = self._process
        if process is not None:
            await self._ask({"type": "quit"})
            for insist in (process.terminate, process.kill, None):
                with suppress(TimeoutError):
                    await asyncio.wait_for(process.wait(), self._ends_within)
                    break
                if insist is not None:
                    with suppress(ProcessLookupError):
                        insist()
        if self._task is not None:
            # the base class cancels its own reading where a program broke
            await asyncio.wait({self._task})
            if not self._task.cancelled():
                self._task.result()

    # -- what the base class calls ---------------------------------------------------------------

    async def set_terminal_size(self, width: int, height: int) -> None:
        """Tell the program how many columns and rows it has; a page may claim anything."""
        await super().set_terminal_size(*_within(width, height))

    async def type(self, text: str) -> None:
        """Hand on what was typed or tapped."""
        self.used = self._clock()
        text = text[:_LONGEST_INPUT]
        # a paste is one message; one that is not ended would take in, and keep, all that follows
        so_far = self._tail + text
        if so_far.rfind(_PASTE_BEGINS) > so_far.rfind(_PASTE_ENDS):
            text += _PASTE_ENDS
        self._tail = (self._tail + text)[1 - len(_PASTE_BEGINS) :]
        await self.send_bytes(text.encode("utf-8"))

    async def give_file(self, name: str, content: str) -> None:
        """Hand on a file that the guest chose; `content` is base64."""
        self.used = self._clock()
        await self.send_meta({"type": "given", "name": name[:_LONGEST_NAME], "content": content})

    async def has_taken_file(self) -> None:
        """Tell the program that the guest has saved the file it offered."""
        self.used = self._clock()
        await self.send_meta({"type": "taken"})

    async def run(self) -> None:
        """Hand on what the program shows, until it ends."""
        assert self._process is not None
        code: int = BROKE
        try:
            await super().run()
            task = asyncio.current_task()
            if task is not None and task.cancelling():
                # the base class swallows the cancelling; without a page the program would never end
                with suppress(ProcessLookupError):
                    self._process.kill()
            if await self._process.wait() == 0:
                code = WSCloseCode.OK
        finally:
            await self._close(code)

    async def on_meta(self, data: bytes) -> None:
        """Do what the program says of itself, and hand on what is for its page."""
        said = json.loads(data)
        if said["type"] == "exit":
            await self._said_goodbye()
        elif said["type"] in FOR_THE_PAGE:
            await self._tell(json.dumps([said["type"], said]))

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        # no shell, and a session of its own: Ctrl-C in the terminal is for the server alone
        self._process = await asyncio.create_subprocess_exec(
            *self._argv,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=self._build_environment(width, height),
            start_new_session=True,
        )
        self._stdin = self._process.stdin
        return self._process

    def _build_environment(self, width: int = 80, height: int = 24) -> dict[str, str]:
        return cleaned(os.environ) | {
            "TEXTUAL_DRIVER": "tui.web.driver:PageDriver",
            "TEXTUAL_FPS": "60",
            "TEXTUAL_COLOR_SYSTEM": "truecolor",
            "COLUMNS": str(width),
            "ROWS": str(height),
        }

    async def _ask(self, packet: dict[str, Any]) -> None:
        """Send `packet` to the program, which others wait for only so long; it stays sent."""
        with suppress(TimeoutError):
            async with asyncio.timeout(self._ends_within):
                await self.send_meta(packet)

    async def _show(self, data: bytes) -> None:
        if self._page is not None:
            with suppress(ConnectionError):
                await self._page.send_bytes(data)

    async def _tell(self, text: str) -> None:
        if self._page is not None:
            with suppress(ConnectionError):
                await self._page.send_str(text)

    async def _said_goodbye(self) -> None:
        self._leaving = True
        await self._close()

    async def _close(self, code: int = WSCloseCode.OK) -> None:
        page, self._page = self._page, None
        if page is not None:
            await page.close(code=code)


def _within(width: int, height: int) -> tuple[int, int]:
    return min(max(width, 1), _MOST_COLUMNS), min(max(height, 1), _MOST_ROWS)
