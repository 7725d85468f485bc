"""A page server in the test's own loop, and pages that only listen."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

import aiohttp

from tui.web.addresses import listen
from tui.web.door import Room
from tui.web.gate import Gate
from tui.web.programs import Limits
from tui.web.server import PageServer

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
    """A server that runs; `links` are those it has announced, `said` what else it told."""

    url: str
    links: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    @contextlib.asynccontextmanager
    async def visitor(self) -> AsyncIterator[aiohttp.ClientSession]:
        """A browser of its own, without a cookie yet."""
        jar = aiohttp.CookieJar(unsafe=True)  # an address without a name may set cookies too
        async with aiohttp.ClientSession(cookie_jar=jar) as session:
            yield session

    async def let_in(self, visitor: aiohttp.ClientSession) -> aiohttp.ClientResponse:
        """Press the button behind the latest link."""
        link = self.links[-1]
        token = {"token": link.partition("token=")[2]}
        origin = {"Origin": self.url}
        async with visitor.post(f"{self.url}/enter", data=token, headers=origin) as answer:
            await answer.read()
            return answer


@contextlib.asynccontextmanager
async def a_bench(
    *command: str, limits: Limits | None = None, room: Room | None = None
) -> AsyncIterator[Bench]:
    listener = listen("127.0.0.1", 0)
    bench = Bench(f"http://127.0.0.1:{listener.getsockname()[1]}")
    gate = Gate(bench.url, bench.links.append)
    server = PageServer(
        command or PROGRAM, gate, limits or Limits(), room=room, say=bench.said.append
    )
    async with server.open_on(listener):
        yield bench
