"""The connections: how many at once, from whom, how long they may say nothing.

Nothing that a stranger does here reaches the terminal but a line a minute.
"""

from __future__ import annotations

import asyncio
import logging
import socket
import ssl
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

_MINUTE = 60.0
_HANDSHAKE = 10.0
_BREATH = 0.5
MOST = 200


@dataclass(frozen=True, slots=True)
class Room:
    """Connections at once, in all and from one address; a page needs two to eight."""

    in_all: int = MOST
    each: int = 32


class Refusals(logging.Handler):
    """Counts what was refused, and says it at most once a minute. Times are seconds of `clock`.

    As a handler of a library's log it counts what goes wrong there, without the traceback.
    """

    def __init__(
        self, say: Callable[[str], None], clock: Callable[[], float] = time.monotonic
    ) -> None:
        super().__init__(logging.WARNING)
        self._say, self._clock = say, clock
        self._counted: Counter[str] = Counter()
        self._said: float | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Count something that a library found wrong."""
        self.note("broken requests")

    def note(self, what: str) -> None:
        """Count something refused, and say it where a minute has gone by."""
        self._counted[what] += 1
        self.say_due()

    def say_due(self) -> None:
        """Say what was counted, if anything was and the last time is a minute ago."""
        now = self._clock()
        if not self._counted or (self._said is not None and now - self._said < _MINUTE):
            return
        counts = ", ".join(f"{n} {what}" for what, n in self._counted.most_common())
        self._counted.clear()
        self._said = now
        self._say(f"Refused: {counts}.")


class Door:
    """Takes connections and hands each to a protocol that `make` gives."""

    def __init__(
        self,
        make: Callable[[], asyncio.Protocol],
        refusals: Refusals,
        room: Room,
        tls: ssl.SSLContext | None = None,
    ) -> None:
        self._make, self._refusals, self._room, self._tls = make, refusals, room, tls
        self._from: Counter[str] = Counter()
        self._opening: set[asyncio.Task[None]] = set()

    async def take(self, listener: socket.socket) -> None:
        """Take every connection that comes, until cancelled."""
        loop = asyncio.get_running_loop()
        listener.setblocking(False)  # the name of the call says what it is
        while True:
            try:
                line, peer = await loop.sock_accept(listener)
            except OSError:  # no descriptor is left, or the caller has gone already
                self._refusals.note("connections that could not be taken")
                await asyncio.sleep(_BREATH)
                continue
            address = str(peer[0])
            if self._from.total() >= self._room.in_all or self._from[address] >= self._room.each:
                line.close()
                self._refusals.note(f"connections over the limit, the last from {address}")
                continue
            self._from[address] += 1
            opening = asyncio.create_task(self._open(line, address))
            self._opening.add(opening)
            opening.add_done_callback(self._opening.discard)

    async def _open(self, line: socket.socket, address: str) -> None:
        counted = _Counted(self._make(), lambda: self._gone(address))
        loop, handshake = asyncio.get_running_loop(), _HANDSHAKE if self._tls else None
        try:
            await loop.connect_accepted_socket(
                lambda: counted, line, ssl=self._tls, ssl_handshake_timeout=handshake
            )
        except OSError:  # also what TLS finds wrong
            self._refusals.note("connections that did not begin as they should")
        finally:
            if not counted.has_begun:
                self._gone(address)
                with suppress(OSError):
                    line.close()

    def _gone(self, address: str) -> None:
        self._from[address] -= 1
        if not self._from[address]:
            del self._from[address]


class _Counted(asyncio.Protocol):
    """Another protocol, and a word when its connection has gone."""

    def __init__(self, inner: asyncio.Protocol, gone: Callable[[], None]) -> None:
        self._inner, self._gone = inner, gone
        self.has_begun = False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self.has_begun = True
        self._inner.connection_made(transport)

    def connection_lost(self, exc: Exception | None) -> None:
        self._gone()
        self._inner.connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        self._inner.data_received(data)

    def eof_received(self) -> bool | None:
        return self._inner.eof_received()

    def pause_writing(self) -> None:
        self._inner.pause_writing()

    def resume_writing(self) -> None:
        self._inner.resume_writing()
