"""The programs that run for the pages: how many, and how long."""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from aiohttp import web

from tui.web.program import GAVE_WAY, IDLE, Program


@dataclass(frozen=True, slots=True)
class Limits:
    """How many programs at once; seconds one lives without input; seconds without a page;
    seconds one is given to end when asked to."""

    programs: int = 4
    idle: float = 1800.0
    alone: float = 600.0
    ends: float = 3.0


Key = tuple[str, str]
"""A device and one of its pages."""


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
        self._running: dict[Key, Program] = {}
        # pages come and go one at a time, so that two at once cannot both take the last place
        self._turn = asyncio.Lock()

    async def show(self, key: Key, page: web.WebSocketResponse, width: int, height: int) -> Program:
        """The program of `key` on `page`, a new one if there is none. Raises `AllInUse`."""
        async with self._turn:
            await self._tidy()
            known = self._running.get(key)
            if known is not None:
                await known.move(page, width, height)
                return known
            await self._make_room(key[0])
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

    async def _make_room(self, device: str) -> None:
        """End a program, so that one of `device` can begin. No device keeps another out, so it is
        one without a page of a device that has more than this, or one of its own; else any of a
        device that has two more. Raises `AllInUse`."""
        if len(self._running) < self.limits.programs:
            return
        each = Counter(one for one, _ in self._running)
        giving_way = [
            key
            for key, program in self._running.items()
            if program.left is not None and (key[0] == device or each[key[0]] > each[device])
        ] or [key for key in self._running if each[key[0]] >= each[device] + 2]
        if not giving_way:
            raise AllInUse
        longest = min(giving_way, key=lambda key: _unused_since(self._running[key]))
        await self._running[longest].end(GAVE_WAY)
        del self._running[longest]


def _unused_since(program: Program) -> float:
    return program.used if program.left is None else program.left
