"""A page server in the test's own loop, and pages that only listen."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

import aiohttp
from aiohttp import web

from tui.web.gate import Gate
from tui.web.programs import Limits
from tui.web.server import PageServer, listen

# a program of a few lines, so that starting one costs little
TINY = (
    "from textual.app import App\n"
    "from textual.widgets import Static\n"
    "class Tiny(App):\n"
    "    presses = 0\n"
    "    def compose(self):\n"
    "        yield Static('pressed 0')\n"
    "    def on_key(self, event):\n"
    "        if event.key == 'q': self.exit()\n"
    "        self.presses += 1\n"
    "        self.query_one(Static).update(f'pressed {self.presses}')\n"
    "Tiny().run()\n"
)
PROGRAM = (sys.executable, "-P", "-c", TINY)


@dataclass
class Bench:
    """A server that runs; `links` are those it has announced."""

    url: str
    links: list[str] = field(default_factory=list)

    @contextlib.asynccontextmanager
    async def visitor(self) -> AsyncIterator[aiohttp.ClientSession]:
        """A browser of its own, without a cookie yet."""
        jar = aiohttp.CookieJar(unsafe=True)  # an address without a name may set cookies too
        async with aiohttp.ClientSession(cookie_jar=jar) as session:
            yield session


@contextlib.asynccontextmanager
async def a_bench(*command: str, limits: Limits | None = None) -> AsyncIterator[Bench]:
    listener = listen("127.0.0.1", 0)
    bench = Bench(f"http://127.0.0.1:{listener.getsockname()[1]}")
    server = PageServer(command or PROGRAM, Gate(bench.url, bench.links.append), limits or Limits())
    runner = web.AppRunner(await server.application())
    await runner.setup()
    await web.SockSite(runner, listener).start()
    try:
        yield bench
    finally:
        await runner.cleanup()
