"""The web server: a page, the files it needs, and the connection to the program behind it.

Everything comes from this computer, and the page may load nothing else.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import socket
import ssl
from collections.abc import AsyncIterator, Callable, Sequence
from pathlib import Path

import textual_serve
from aiohttp import WSCloseCode, WSMessage, WSMsgType, web, web_response
from aiohttp.typedefs import Handler

from tui.web.door import Door, Refusals, Room
from tui.web.gate import ENTER, Gate
from tui.web.line import PageLine
from tui.web.program import FULL, Program
from tui.web.programs import AllInUse, Limits, Programs

_PAGE = Path(__file__).parent / "page"
_TERMINAL = Path(textual_serve.__file__).parent / "static"
_HEARTBEAT = 15.0
_TAKEN_WITHIN = 15.0
_CLOSES_WITHIN = 2.0
_ANSWERED_WITHIN = 20.0
_SILENT = 15.0
"""Seconds in which a request must have come whole, and after which an idle connection is closed."""
_LONGEST_KEY = 64
_LARGEST_REQUEST = 4_096
_LARGEST_MESSAGE = 4_000_000
"""Bytes; the largest file that is read, as base64, with room to spare."""

_HEADERS = {
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}

# no hook is asked where a request is too broken to have a path
web_response.SERVER_SOFTWARE = "badride"  # type: ignore[attr-defined]


class PageServer:
    """Shows `command`, a program of this package, to those whom `gate` lets in.

    `say` gets a line where something was refused, at most one a minute.
    """

    def __init__(
        self,
        command: Sequence[str],
        gate: Gate,
        limits: Limits,
        *,
        room: Room | None = None,
        tls: ssl.SSLContext | None = None,
        say: Callable[[str], None] = lambda line: None,
    ) -> None:
        self._gate = gate
        self._programs = Programs(command, limits)
        self._refusals = Refusals(say)
        self._room, self._tls = room or Room(), tls

    def serve_on(self, listener: socket.socket) -> None:
        """Serve until Ctrl-C or SIGTERM; then no program is left running."""
        with contextlib.suppress(KeyboardInterrupt):  # where a loop cannot listen for signals
            asyncio.run(self._until_stopped(listener))

    async def _until_stopped(self, listener: socket.socket) -> None:
        loop, stopped = asyncio.get_running_loop(), asyncio.Event()
        for one in (signal.SIGINT, signal.SIGTERM):
            with contextlib.suppress(NotImplementedError):
                loop.add_signal_handler(one, stopped.set)
        async with self.open_on(listener):
            await stopped.wait()

    @contextlib.asynccontextmanager
    async def open_on(self, listener: socket.socket) -> AsyncIterator[None]:
        """Serve inside the block; at its end no program is left running."""
        quiet = _only_counted(self._refusals)
        runner = web.AppRunner(
            self._application(),
            access_log=None,
            keepalive_timeout=_SILENT,
            shutdown_timeout=_CLOSES_WITHIN,
        )
        await runner.setup()
        assert runner.server is not None
        door = Door(runner.server, self._refusals, self._room, self._tls)
        tasks = [
            asyncio.create_task(work)
            for work in (self._programs.watch(), door.take(listener), self._tell())
        ]
        self._gate.open_next()
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            listener.close()
            await self._programs.end_all()
            await runner.cleanup()
            quiet()

    async def _tell(self) -> None:
        while True:
            await asyncio.sleep(1)
            self._refusals.say_due()

    def _application(self) -> web.Application:
        app = web.Application(
            middlewares=[self._counted, self._gate.middleware], client_max_size=_LARGEST_REQUEST
        )
        app.add_routes(
            [
                web.get("/", self._page),
                web.get("/ws", self._line),
                web.get("/alive", self._alive),
                web.get(ENTER, self._gate.show_button),
                web.post(ENTER, self._gate.enter),
                web.static("/page", _PAGE),
                web.static("/static", _TERMINAL),
            ]
        )
        app.on_response_prepare.append(_add_headers)
        return app

    @web.middleware
    async def _counted(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer in time, and count what is refused."""
        if request.path == "/ws":
            within = contextlib.nullcontext()
        else:
            within = asyncio.timeout(_ANSWERED_WITHIN)  # type: ignore[assignment]
        try:
            async with within:
                return await handler(request)
        except TimeoutError as error:
            self._refusals.note("requests that took too long")
            raise web.HTTPRequestTimeout from error
        except web.HTTPClientError as refused:
            self._refusals.note(f"requests with {refused.status}")
            raise

    async def _page(self, request: web.Request) -> web.StreamResponse:
        return web.FileResponse(_PAGE / "page.html")

    async def _alive(self, request: web.Request) -> web.StreamResponse:
        """Answer a page that lost its connection, so that it knows it can connect again."""
        return web.Response(text="yes")

    async def _line(self, request: web.Request) -> web.WebSocketResponse:
        """The connection between a page and its program."""
        page = PageLine(
            taken_within=_TAKEN_WITHIN,
            closes_within=_CLOSES_WITHIN,
            heartbeat=_HEARTBEAT,
            largest=_LARGEST_MESSAGE,
        )
        await page.prepare(request)
        size = (_number(request.query.get(name, "")) for name in ("width", "height"))
        key = self._gate.who(request), request.query.get("page", "")[:_LONGEST_KEY]
        try:
            program = await self._programs.show(key, page, *size)
        except AllInUse:
            self._refusals.note("pages, as every program is in use")
            await page.close(code=FULL)
            return page
        try:
            await hear(page, program)
        except ValueError:
            self._refusals.note("messages that no page of ours sends")
            await page.close(code=WSCloseCode.UNSUPPORTED_DATA)
        finally:
            program.leave(page)
        return page


async def hear(page: web.WebSocketResponse, program: Program) -> None:
    """Hand on what the page says. Raises `ValueError` for what no page of ours says."""
    async for message in page:
        if message.type is not WSMsgType.TEXT:
            raise ValueError("a page sends text")
        match _said(message):
            case ["stdin", str(text)]:
                await program.type(text)
            case ["resize", {"width": int(width), "height": int(height)}]:
                await program.set_terminal_size(width, height)
            case ["ping", str(sent)]:
                await page.send_json(["pong", sent[:_LONGEST_KEY]])
            case ["focus"]:
                await program.focus()
            case ["blur"]:
                await program.blur()
            case ["given", {"name": str(name), "content": str(content)}]:
                await program.give_file(name, content)
            case ["taken"]:
                await program.has_taken_file()
            case _:
                raise ValueError("no page says that")


def _said(message: WSMessage) -> object:
    try:
        return message.json()
    except RecursionError as error:
        raise ValueError("no page nests so deep") from error


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 80


def _only_counted(refusals: Refusals) -> Callable[[], None]:
    """Let what libraries report be counted and not printed; the result puts that back."""
    logs = [logging.getLogger(name) for name in ("aiohttp", "asyncio", "textual-serve")]
    before = [log.propagate for log in logs]
    for log in logs:
        log.addHandler(refusals)
        log.propagate = False

    def put_back() -> None:
        for log, passed_on in zip(logs, before, strict=True):
            log.removeHandler(refusals)
            log.propagate = passed_on

    return put_back


async def _add_headers(request: web.Request, response: web.StreamResponse) -> None:
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers["Content-Security-Policy"] = (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; font-src 'self'; "
        f"connect-src 'self' ws://{request.host} wss://{request.host}; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    )
