"""The web server: a page, the files it needs, and the connection to the program behind it.

Everything comes from this computer, and the page may load nothing else.
"""

from __future__ import annotations

import asyncio
import logging
import socket
from collections.abc import Sequence
from pathlib import Path

from aiohttp import WSCloseCode, web
from textual_serve.server import Server, to_int

from rules.problems import BadInput
from tui.web.gate import ENTER, Gate
from tui.web.program import FULL
from tui.web.programs import AllInUse, Limits, Programs

log = logging.getLogger(__name__)

_PAGE = Path(__file__).parent / "page"
_HEARTBEAT = 15.0
_CLOSES_WITHIN = 2.0
_LONGEST_KEY = 64

_HEADERS = {
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens there; port 0 takes a free one. Raises `BadInput` where it cannot."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        return socket.create_server((host, port), family=family)
    except (OSError, OverflowError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput(f"{host} port {port} cannot be served: {reason}") from error


class PageServer(Server):
    """Shows `command`, a program of this package, to those whom `gate` lets in."""

    def __init__(self, command: Sequence[str], gate: Gate, limits: Limits) -> None:
        super().__init__("badride", templates_path=_PAGE)
        self._gate = gate
        self._programs = Programs(command, limits)
        self._watching: asyncio.Task[None] | None = None

    def serve_on(self, listener: socket.socket) -> None:
        """Serve until Ctrl-C or SIGTERM; then no program is left running."""
        web.run_app(self.application(), sock=listener, access_log=None, print=None)

    async def application(self) -> web.Application:
        """The application that `serve_on` serves."""
        return await self._make_app()

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._gate.middleware)
        app.add_routes(
            [
                web.get(ENTER, self._gate.enter),
                web.get("/alive", self.handle_alive),
                web.static("/page", _PAGE),
            ]
        )
        app.on_response_prepare.append(_add_headers)
        return app

    async def on_startup(self, app: web.Application) -> None:
        """Open the first link, and begin to look after the programs."""
        self._watching = asyncio.create_task(self._programs.watch())
        self._gate.open_next()

    async def on_shutdown(self, app: web.Application) -> None:
        """End every program that still runs."""
        if self._watching is not None:
            self._watching.cancel()
        await self._programs.end_all()

    async def handle_index(self, request: web.Request) -> web.StreamResponse:
        """Answer with the page."""
        return web.FileResponse(_PAGE / "page.html")

    async def handle_alive(self, request: web.Request) -> web.StreamResponse:
        """Answer a page that lost its connection, so that it knows it can connect again."""
        return web.Response(text="yes")

    async def handle_download(self, request: web.Request) -> web.StreamResponse:
        """Refuse: the program hands out no files this way."""
        raise web.HTTPNotFound

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """The connection between a page and its program."""
        page = web.WebSocketResponse(heartbeat=_HEARTBEAT, timeout=_CLOSES_WITHIN)
        await page.prepare(request)
        size = (to_int(request.query.get(name, ""), 80) for name in ("width", "height"))
        key = f"{self._gate.who(request)} {request.query.get('page', '')[:_LONGEST_KEY]}"
        try:
            program = await self._programs.show(key, page, *size)
        except AllInUse:
            log.warning("turned a page away: all programs are in use")
            await page.close(code=FULL)
            return page
        try:
            await self._process_messages(page, program)
        except _NO_MESSAGE:
            log.warning("a page sent what no page of ours sends")
            await page.close(code=WSCloseCode.UNSUPPORTED_DATA)
        finally:
            program.leave(page)
        return page


_NO_MESSAGE = (ValueError, TypeError, LookupError, AttributeError, AssertionError)


async def _add_headers(request: web.Request, response: web.StreamResponse) -> None:
    response.headers.update(_HEADERS)
    response.headers["Content-Security-Policy"] = (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; font-src 'self'; "
        f"connect-src 'self' ws://{request.host} wss://{request.host}; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
