"""The programs that run for the pages: how many, and how long."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from aiohttp import web

from tui.web.program import IDLE, Program


@dataclass(frozen=True, slots=True)
class Limits:
    """How many programs at once; seconds one lives without input; seconds without a page;
    seconds one is given to end when asked to."""

    programs: int = 4
    idle: float = 1800.0
    alone: float = 600.0
    ends: float = 3.0


class AllInUse(Exception):
    """There is no room for one more program."""


class Programs:
    """A program per page, found again by the page's key after a dropped connection."""

    def __init__(
        self,
        command: Sequence[str],
        limits: Limits,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.limits = limits
        self._command = command
        self._clock = clock
        self._running: dict[str, Program] = {}
        # pages come and go one at a time, so that two at once cannot both take the last place
        self._turn = asyncio.Lock()

    async def show(self, key: str, page: web.WebSocketResponse, width: int, height: int) -> Program:
        """The program of `key` on `page`, a new one if there is none. Raises `AllInUse`."""
        async with self._turn:
            await self._tidy()
            known = self._running.get(key)
            if known is not None:
                await known.move(page, width, height)
                return known
            await self._make_room()
            program = Program(self._command, self._clock, self.limits.ends)
            self._running[key] = program
            await program.begin(page, width, height)
            return program

    async def watch(self, every: float = 5.0) -> None:
        """End what nobody uses any more, again and again."""
        while True:
            await asyncio.sleep(every)
            async with self._turn:
                await self._tidy()

    async def end_all(self) -> None:
        """End every program; returns when their processes are gone."""
        async with self._turn:
            await asyncio.gather(*(program.end() for program in self._running.values()))
            self._running.clear()

    async def _tidy(self) -> None:
        now = self._clock()
        for key, program in list(self._running.items()):
            alone = program.left is not None and now - program.left > self.limits.alone
            if program.has_ended or alone or now - program.used > self.limits.idle:
                await program.end(IDLE)
                del self._running[key]

    async def _make_room(self) -> None:
        if len(self._running) < self.limits.programs:
            return
        waiting = [key for key, program in self._running.items() if program.left is not None]
        if not waiting:
            raise AllInUse
        longest = min(waiting, key=lambda key: self._running[key].left or 0.0)
        await self._running[longest].end()
        del self._running[longest]
