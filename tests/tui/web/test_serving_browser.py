"""The screens in a real browser: Debian's Chromium, driven over its debugging protocol."""

from __future__ import annotations

import asyncio
import contextlib
import os
import re
import signal
import sys
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psutil
import pytest

from tests.tui.web.browser import PATIENCE, Page, a_browser, chromium

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(chromium() is None, reason="there is no Chromium (Debian: apt-get install chromium)"),
]  # fmt: skip

PHONE = (390, 844)
BADRIDE = (sys.executable, "-P", "-c", "from tui.cli.main import run; run()")


@dataclass
class Served:
    process: asyncio.subprocess.Process

    async def link(self) -> str:
        assert self.process.stdout is not None
        while line := await asyncio.wait_for(self.process.stdout.readline(), PATIENCE):
            if found := re.search(rb"http\S+", line):
                return found[0].decode()
        raise AssertionError("no link came")

    def programs(self) -> list[psutil.Process]:
        return psutil.Process(self.process.pid).children(recursive=True)


@contextlib.asynccontextmanager
async def serving(folder: Path, *options: str) -> AsyncIterator[Served]:
    environment = {
        **os.environ,
        "HOME": str(folder),
        "BADRIDE_STORE": str(folder / "store.sqlite"),
        "PYTHONUNBUFFERED": "1",
    }
    process = await asyncio.create_subprocess_exec(
        *BADRIDE, "serve", *options, env=environment, stdout=asyncio.subprocess.PIPE, cwd=folder
    )
    try:
        yield Served(process)
    finally:
        if process.returncode is None:
            process.terminate()
            assert await asyncio.wait_for(process.wait(), PATIENCE) == 0


@pytest.fixture
async def new_page(tmp_path: Path) -> AsyncIterator[Callable[[], Awaitable[Page]]]:
    async with a_browser(tmp_path / "browser") as new:
        yield new


class Wire:
    """A line between browser and server that can be cut."""

    def __init__(self) -> None:
        self.to = 0
        self._ends: set[asyncio.StreamWriter] = set()

    async def __call__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        there_reader, there_writer = await asyncio.open_connection("127.0.0.1", self.to)
        self._ends |= {writer, there_writer}
        with contextlib.suppress(ConnectionError):
            await asyncio.gather(_pump(reader, there_writer), _pump(there_reader, writer))

    def cut(self) -> None:
        for end in self._ends:
            end.transport.abort()
        self._ends.clear()


async def _pump(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    while data := await reader.read(65536):
        writer.write(data)
        await writer.drain()
    writer.close()


async def _come_in(page: Page, link: str) -> None:
    """Open the link and press its button."""
    await page.open(link)
    await page.says("Let this device in")
    await page.evaluate("document.querySelector('button').click()")


async def _has_loaded(page: Page) -> None:
    await page.shows("Bike: usual kind")


async def _to_the_ranked_causes(page: Page) -> None:
    await _has_loaded(page)
    await page.tap("New complaint")
    await page.shows("nothing typed")
    await page.press_button("enter")
    await page.tap("Harsh  harsh")
    await page.tap("Front")
    await page.shows("Picked: Harsh (front)")
    await page.press_button("enter")
    await page.tap("Go on")
    await page.shows("So far", "%")


async def test_a_phone_taps_through_a_case_to_the_ranked_causes(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path
) -> None:
    async with serving(tmp_path, "--port", "0") as served:
        page = await new_page()
        await page.resize(*PHONE, phone=True)
        await _come_in(page, await served.link())
        await _to_the_ranked_causes(page)
        assert 45 <= page.columns <= 60
        for _ in range(3):
            before = page.text()
            await page.tap("Don't know")
            await page.changes(before)
            await page.shows("So far")
        assert await page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
        assert await page.evaluate("document.activeElement.inputMode") == "none"
        assert page.complaints == []
        host = served_host(page)
        assert all(re.match(rf"(http|ws)://{host}/", url) for url in page.requested)
        served.process.send_signal(signal.SIGINT)
        assert await asyncio.wait_for(served.process.wait(), PATIENCE) == 0


def served_host(page: Page) -> str:
    return re.escape(re.sub(r"^\w+://([^/]+)/.*", r"\1", page.requested[0]))


async def test_a_window_that_becomes_as_narrow_as_a_phone_stays_of_use(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path
) -> None:
    async with serving(tmp_path, "--port", "0") as served:
        page = await new_page()
        await page.resize(1280, 800)
        await _come_in(page, await served.link())
        await _has_loaded(page)
        assert page.columns >= 80
        for key in ("Enter", "h", "a", "r", "s", "h", "Enter", "2", "Enter", "Enter"):
            await page.key(key)
        await page.shows("Don't know")
        await page.resize(*PHONE, phone=True)
        await page.until(lambda: page.columns < 60)
        await page.shows("Don't know")
        # letters of a size for a phone, and the program goes on where it was
        narrow = page.columns
        await page.evaluate("location.reload()")
        await page.until(lambda: page.columns > narrow)
        await page.shows("Don't know")
        await page.shows("Front tyre pressure, cold")
        await page.tap("Don't know")
        await page.shows_not("Front tyre pressure, cold")
        assert len(served.programs()) == 1


async def test_a_cut_line_comes_back_to_the_same_question(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path
) -> None:
    wire = Wire()
    relay = await asyncio.start_server(wire, "127.0.0.1", 0)
    address = f"http://127.0.0.1:{relay.sockets[0].getsockname()[1]}"
    port = await _free_port()
    wire.to = port
    async with serving(tmp_path, "--port", str(port), "--public-url", address) as served:
        page = await new_page()
        await page.resize(*PHONE, phone=True)
        link = await served.link()
        assert link.startswith(address)
        await _come_in(page, link)
        await _to_the_ranked_causes(page)
        await page.rests()
        question = page.text()
        wire.cut()
        await page.until(lambda: sum("/ws" in url for url in page.requested) == 2)
        await page.until(lambda: page.text() == question, question)
        # with the program gone too, what was answered is still in the store
        await page.tap("Don't know")
        await page.until(lambda: page.text() != question)
        for program in served.programs():
            program.kill()
        await page.says("stopped on an error")
        await page.press_button("again")
        await page.tap("Cases (1 open)")
        await page.shows("Harsh")
    relay.close()


async def test_the_same_link_does_not_let_another_device_in(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path
) -> None:
    async with serving(tmp_path, "--port", "0") as served, a_browser(tmp_path / "other") as another:
        link = await served.link()
        page = await new_page()
        await _come_in(page, link)
        await page.shows("New complaint")
        stranger: Any = await another()
        await stranger.open(link)
        await stranger.says("has been used")


async def test_a_file_comes_from_the_device_and_goes_to_it(
    new_page: Callable[[], Awaitable[Page]], tmp_path: Path
) -> None:
    mine, saved = tmp_path / "mine.yaml", tmp_path / "saved"
    mine.write_text("case: 1\ncomplaints: [harsh/front]\nnote: seen on a phone\n", encoding="utf-8")
    async with serving(tmp_path, "--port", "0") as served:
        page = await new_page()
        await page.resize(*PHONE, phone=True)
        await page.saves_to(saved)
        await _come_in(page, await served.link())
        await _has_loaded(page)
        await page.tap("Open a case file")
        await page.shows("Choose a file of this device")
        await page.choose("chosen", mine)
        await page.shows("Job card", "COMPLAINT")
        await page.key("f")
        await page.shows("saved on this device")
        await page.press_button("enter")
        await page.says("Save case.yaml")
        await page.press_button("save")
        await page.shows_not("Press the button")
        async with asyncio.timeout(PATIENCE):
            while not (saved / "case.yaml").is_file():
                await asyncio.sleep(0.05)
        assert "seen on a phone" in (saved / "case.yaml").read_text(encoding="utf-8")
        assert page.complaints == []


async def _free_port() -> int:
    probe = await asyncio.start_server(lambda *_: None, "127.0.0.1", 0)
    port: int = probe.sockets[0].getsockname()[1]
    probe.close()
    await probe.wait_closed()
    return port
