"""A real browser over its debugging protocol, and what a terminal in its page shows.

The letters in the page are drawn on a canvas, so what is shown is read from what came over the
page's line, through a terminal emulator that has nothing to do with the page's own.
"""

from __future__ import annotations

import asyncio
import base64
import contextlib
import itertools
import json
import os
import shutil
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import aiohttp
import pyte

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-port=0",
)
PATIENCE = 60.0


def chromium() -> str | None:
    """Debian's Chromium, or what else answers to that name."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


class Page:
    """One tab. Coordinates of cells count from 0."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._numbers = itertools.count(1)
        self._answers: dict[int, asyncio.Future[dict[str, Any]]] = {}
        self.requested: list[str] = []
        self.complaints: list[str] = []
        self._terminal = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._terminal)
        self._news = asyncio.Event()
        self._reader = asyncio.create_task(self._read())

    async def call(self, method: str, **params: Any) -> dict[str, Any]:
        number = next(self._numbers)
        self._answers[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": params})
        return await asyncio.wait_for(self._answers[number], PATIENCE)

    async def evaluate(self, expression: str) -> Any:
        answer = await self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)  # fmt: skip
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    async def open(self, url: str) -> None:
        await self.call("Page.navigate", url=url)

    async def resize(self, width: int, height: int, *, phone: bool = False) -> None:
        await self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=phone)  # fmt: skip
        await self.call("Emulation.setTouchEmulationEnabled", enabled=phone)

    async def key(self, text: str) -> None:
        """Press a key that writes one letter, or `Enter` or `Escape`."""
        codes = {"Enter": 13, "Escape": 27}
        named: dict[str, Any] = {"key": text, "code": text, "windowsVirtualKeyCode": codes.get(text, 0)}  # fmt: skip
        if text not in codes:
            named = {"key": text, "text": text}
        elif text == "Enter":
            named["text"] = "\r"
        await self.call("Input.dispatchKeyEvent", type="keyDown", **named)
        await self.call("Input.dispatchKeyEvent", type="keyUp", **named)

    async def cell(self, column: float, row: float) -> tuple[float, float]:
        """Where the middle of a cell is, in the page's pixels."""
        box = await self.evaluate(
            "(r => [r.x, r.y, r.width, r.height])"
            "(document.querySelector('.xterm-screen').getBoundingClientRect())"
        )
        x, y, width, height = box
        return (
            x + (column + 0.5) * width / self._terminal.columns,
            y + (row + 0.5) * height / self._terminal.lines,
        )

    async def tap(self, words: str) -> None:
        """Touch where `words` stand, once the screen has come to rest, as a person would."""
        await self.shows(words)
        await self.rests()
        row = next(i for i, line in enumerate(self.lines()) if words in line)
        x, y = await self.cell(self.lines()[row].index(words) + len(words) // 2, row)
        await self.call("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])  # fmt: skip
        await self.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    async def drag(self, by: int) -> None:
        """Move a finger over the middle of the screen by so many lines, down where positive."""
        x, y = await self.cell(self.columns // 2, self._terminal.lines // 2)
        _, below = await self.cell(self.columns // 2, self._terminal.lines // 2 + 1)
        points = [{"x": x, "y": y + part * (below - y) * by / 8} for part in range(9)]
        await self.call("Input.dispatchTouchEvent", type="touchStart", touchPoints=points[:1])
        for point in points[1:]:
            await self.call("Input.dispatchTouchEvent", type="touchMove", touchPoints=[point])
        await self.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    async def scrolled_to(self, words: str) -> None:
        """Drag the screen up until `words` stand in it."""
        for _ in range(20):
            await self.rests()
            if words in self.text():
                return
            await self.drag(-4)
        raise AssertionError(f"{words!r} cannot be reached:\n{self.text()}")

    def lines(self) -> list[str]:
        return list(self._terminal.display)

    @property
    def columns(self) -> int:
        return self._terminal.columns

    def text(self) -> str:
        return "\n".join(line.rstrip() for line in self.lines())

    async def press_button(self, name: str) -> None:
        """Press a button of the page itself."""
        await self.evaluate(f"document.getElementById('{name}').click()")

    async def choose(self, name: str, file: Path) -> None:
        """Choose a file in a file box of the page."""
        found = await self.call("Runtime.evaluate", expression=f"document.getElementById('{name}')")
        box = found["result"]["objectId"]
        await self.call("DOM.setFileInputFiles", files=[str(file)], objectId=box)

    async def saves_to(self, folder: Path) -> None:
        """Let files that are downloaded be saved in `folder`."""
        await self.call("Page.setDownloadBehavior", behavior="allow", downloadPath=str(folder))

    async def shows(self, *words: str) -> None:
        """Return once all of these stand in the terminal."""
        await self.until(lambda: all(word in self.text() for word in words), str(words))

    async def shows_not(self, *words: str) -> None:
        await self.until(lambda: not any(word in self.text() for word in words), f"no {words}")

    async def says(self, words: str) -> None:
        """Return once the page itself, outside the terminal, says this."""
        async with asyncio.timeout(PATIENCE):
            while words not in str(await self.evaluate("document.body?.innerText")):
                await asyncio.sleep(0.05)

    async def changes(self, before: str) -> None:
        """Return once the terminal shows anything else."""
        await self.until(lambda: self.text() != before)

    async def rests(self) -> None:
        """Return once nothing has come for a while."""
        with contextlib.suppress(TimeoutError):
            while True:
                self._news.clear()
                await asyncio.wait_for(self._news.wait(), 0.4)

    async def until(self, holds: Callable[[], bool], what: str = "something else") -> None:
        try:
            async with asyncio.timeout(PATIENCE):
                while not holds():
                    self._news.clear()
                    await self._news.wait()
        except TimeoutError:
            raise AssertionError(f"waited for {what}; the terminal shows:\n{self.text()}") from None

    async def picture(self, file: Path) -> None:
        answer = await self.call("Page.captureScreenshot")
        file.write_bytes(base64.b64decode(answer["data"]))

    async def _read(self) -> None:
        async for message in self._socket:
            told = json.loads(message.data)
            if "id" in told:
                answer = self._answers.pop(told["id"])
                if not answer.done():
                    answer.set_result(told.get("result", told))
                continue
            self._hear(told["method"], told["params"])
            self._news.set()

    def _hear(self, method: str, params: dict[str, Any]) -> None:
        if method == "Network.requestWillBeSent":
            self.requested.append(params["request"]["url"])
        elif method == "Network.webSocketCreated":
            self.requested.append(params["url"])
            self._terminal.reset()
        elif method == "Network.webSocketFrameReceived" and params["response"]["opcode"] == 2:
            self._stream.feed(base64.b64decode(params["response"]["payloadData"]))
        elif method == "Network.webSocketFrameSent" and params["response"]["opcode"] == 1:
            sent = json.loads(params["response"]["payloadData"])
            if sent[0] == "resize":
                self._terminal.resize(sent[1]["height"], sent[1]["width"])
        elif method == "Log.entryAdded" and params["entry"]["level"] == "error":
            self.complaints.append(f"{params['entry']['text']} {params['entry'].get('url', '')}")
        elif method == "Runtime.exceptionThrown":
            self.complaints.append(str(params["exceptionDetails"]))


@contextlib.asynccontextmanager
async def a_browser(folder: Path) -> AsyncIterator[Callable[[], Any]]:
    """`new_page = ...; page = await new_page()`; each page shares one set of cookies."""
    program = chromium()
    assert program is not None
    process = await asyncio.create_subprocess_exec(
        program, *FLAGS, f"--user-data-dir={folder}", "about:blank",
        env={**os.environ, "HOME": str(folder)},
        stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    try:
        port_file = folder / "DevToolsActivePort"
        async with asyncio.timeout(PATIENCE):
            while not port_file.exists() or "\n" not in port_file.read_text():
                await asyncio.sleep(0.05)
        port = port_file.read_text().splitlines()[0]
        async with aiohttp.ClientSession() as client, contextlib.AsyncExitStack() as sockets:

            async def new_page() -> Page:
                async with client.put(f"http://127.0.0.1:{port}/json/new?about:blank") as answer:
                    target = await answer.json()
                socket = await sockets.enter_async_context(
                    client.ws_connect(target["webSocketDebuggerUrl"], max_msg_size=0)
                )
                page = Page(socket)
                for domain in ("Page", "Runtime", "Network", "Log"):
                    await page.call(f"{domain}.enable")
                return page

            yield new_page
    finally:
        process.terminate()
        await process.wait()
