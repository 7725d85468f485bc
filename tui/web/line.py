"""The connection to a page."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager

from aiohttp import WSCloseCode, web
from aiohttp.abc import AbstractStreamWriter
from aiohttp.web_request import BaseRequest


class PageLine(web.WebSocketResponse):
    """A WebSocket that nobody who writes to it waits for: where the page takes nothing for
    `taken_within` seconds, or does not close within `closes_within`, it is broken off."""

    def __init__(
        self, *, taken_within: float, closes_within: float, heartbeat: float, largest: int
    ) -> None:
        super().__init__(heartbeat=heartbeat, timeout=closes_within, max_msg_size=largest)
        self._taken_within, self._closes_within = taken_within, closes_within
        self._transport: asyncio.Transport | None = None

    async def prepare(self, request: BaseRequest) -> AbstractStreamWriter:
        """Begin the conversation."""
        if self._transport is None:  # the library calls it once more at the end, for any response
            self._transport = request.transport
        return await super().prepare(request)

    async def send_bytes(self, data: bytes, compress: int | None = None) -> None:
        """Send bytes. Raises `ConnectionError` where the page is gone."""
        with self._or_broken_off(self._taken_within):
            await super().send_bytes(data, compress)

    async def send_str(self, data: str, compress: int | None = None) -> None:
        """Send text. Raises `ConnectionError` where the page is gone."""
        with self._or_broken_off(self._taken_within):
            await super().send_str(data, compress)

    async def close(
        self, *, code: int = WSCloseCode.OK, message: bytes = b"", drain: bool = True
    ) -> bool:
        """Close it; the result says whether it was open."""
        # one while for the word to go out, one for the page's answer
        with self._or_broken_off(2 * self._closes_within):
            return await super().close(code=code, message=message, drain=drain)

    @contextmanager
    def _or_broken_off(self, seconds: float) -> Iterator[None]:
        # cancelling would do it too, but all who write to a connection wait for one thing, and
        # would be cancelled with the first
        assert self._transport is not None
        late = asyncio.get_running_loop().call_later(seconds, self._transport.abort)
        try:
            yield
        finally:
            late.cancel()
