"""One program that shows on a page."""

from __future__ import annotations

import asyncio
import shlex
from asyncio.subprocess import PIPE, Process
from collections.abc import Callable, Sequence
from contextlib import suppress

from aiohttp import WSCloseCode, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

MOVED, FULL, IDLE, BROKE = 4001, 4002, 4003, 4004
"""Why a page has no program, as WebSocket close codes; `page.js` says them in words."""

_MOST_COLUMNS, _MOST_ROWS = 400, 200


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
        await self.send_meta({"type": "attach", "width": columns, "height": rows})

    def leave(self, page: web.WebSocketResponse) -> None:
        """`page` is gone; the program waits for another."""
        if self._page is page:
            self._page, self.left = None, self._clock()

    async def end(self, code: int = WSCloseCode.OK) -> None:
        """Ask it to end, then terminate it, then kill it. Returns when the process is gone."""
        await self._close(code)
        process = self._process
        if process is not None:
            await self.send_meta({"type": "quit"})
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

    async def send_bytes(self, data: bytes) -> bool:
        """Hand on what was typed or tapped."""
        self.used = self._clock()
        return await super().send_bytes(data)

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

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        environment = self._build_environment(width, height)
        environment["TEXTUAL_DRIVER"] = "tui.web.driver:PageDriver"
        # no shell, and a session of its own: Ctrl-C in the terminal is for the server alone
        self._process = await asyncio.create_subprocess_exec(
            *self._argv,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=environment,
            start_new_session=True,
        )
        self._stdin = self._process.stdin
        return self._process

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
