"""The programs behind the pages: how many, how long, and that each one ends."""

from __future__ import annotations

import asyncio
import json
import os
import sys
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import suppress
from typing import Any
from urllib.parse import urlsplit

import psutil
import pytest
from aiohttp import WSMsgType

from tests.tui.web.page_server import PROGRAM, a_bench
from tui.web.program import BROKE, FULL, GAVE_WAY, IDLE, MOVED, Program
from tui.web.programs import AllInUse, Limits, Programs

PATIENCE = 60.0
STUBBORN = (
    sys.executable, "-c",
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN);"
    "print('__GANGLION__', flush=True); time.sleep(60)",
)  # fmt: skip


# draws without end, and reads nothing
NOISY = (
    sys.executable, "-c",
    "import sys; out = sys.stdout.buffer; out.write(b'__GANGLION__\\n');\n"
    "while True: out.write(b'D\\0\\0\\xff\\xff' + b'x' * 65535)",
)  # fmt: skip


class FakePage:
    """What a page would have received."""

    def __init__(self) -> None:
        self.shown = b""
        self.code: int | None = None
        self._news = asyncio.Event()

    async def send_bytes(self, data: bytes) -> None:
        self.shown += data
        self._news.set()

    async def send_str(self, text: str) -> None: ...

    async def close(self, *, code: int) -> None:
        self.code = code
        self._news.set()

    async def until(self, holds: Callable[[], bool]) -> None:
        async with asyncio.timeout(PATIENCE):
            while not holds():
                self._news.clear()
                await self._news.wait()

    async def shows(self, words: str) -> None:
        await self.until(lambda: words.encode() in self.shown)


class Shop:
    """Programs on a clock that the test moves."""

    def __init__(self, command: Sequence[str] = PROGRAM, **limits: Any) -> None:
        self.now = 0.0
        self.programs = Programs(command, Limits(**limits), lambda: self.now)

    async def open(
        self, key: str = "a", *size: int, device: str = "one"
    ) -> tuple[FakePage, Program]:
        page: Any = FakePage()
        return page, await self.programs.show((device, key), page, *(size or (80, 24)))


NewShop = Callable[..., Shop]


def running() -> list[psutil.Process]:
    """What was started for a page and is there yet."""
    found = []
    for child in psutil.Process(os.getpid()).children(recursive=True):
        with suppress(psutil.NoSuchProcess):  # gone meanwhile
            words = set(child.cmdline())
            if child.status() != psutil.STATUS_ZOMBIE and words & {
                PROGRAM[-1],
                STUBBORN[-1],
                NOISY[-1],
            }:
                found.append(child)
    return found


@pytest.fixture(autouse=True)
async def nothing_is_left() -> AsyncIterator[None]:
    yield
    assert running() == []


@pytest.fixture
async def new_shop(nothing_is_left: None) -> AsyncIterator[NewShop]:
    """Makes shops, and ends what still runs in them, also after a test that fails."""
    shops: list[Shop] = []

    def make(*command: str, **limits: Any) -> Shop:
        shops.append(Shop(command or PROGRAM, **limits))
        return shops[-1]

    yield make
    for shop in shops:
        await shop.programs.end_all()


async def test_a_program_goes_on_where_it_was_on_the_next_page(new_shop: NewShop) -> None:
    shop = new_shop()
    first, program = await shop.open()
    await first.shows("pressed 0")
    await program.type("x")
    await first.shows("pressed 1")
    program.leave(first)  # type: ignore[arg-type]
    second, same = await shop.open()
    assert same is program
    await second.shows("pressed 1")  # painted whole, though nothing changed
    await second.shows("\x1b[?1003h")  # and it hears taps


async def test_a_page_opened_twice_takes_the_program_along(new_shop: NewShop) -> None:
    shop = new_shop()
    first, _ = await shop.open()
    await first.shows("pressed 0")
    second, _ = await shop.open()
    assert first.code == MOVED
    await second.shows("pressed 0")
    assert len(running()) == 1


async def test_no_more_programs_than_allowed_but_one_without_a_page_gives_way(
    new_shop: NewShop,
) -> None:
    shop = new_shop(programs=1)
    page, program = await shop.open("a")
    with pytest.raises(AllInUse):
        await shop.open("b", device="two")
    program.leave(page)  # type: ignore[arg-type]
    other, _ = await shop.open("b", device="two")
    assert program.has_ended
    await other.shows("pressed 0")
    assert len(running()) == 1


async def test_no_device_keeps_another_out(new_shop: NewShop) -> None:
    shop = new_shop(programs=3)
    (first, used), (second, _), _ = [await shop.open(key) for key in "abc"]
    shop.now = 1
    await used.type("x")
    other, _ = await shop.open("a", device="two")
    await other.shows("pressed 0")
    assert (first.code, second.code) == (None, GAVE_WAY)
    with pytest.raises(AllInUse):  # for each of them has its share
        await shop.open("b", device="two")


async def test_a_device_that_has_most_takes_no_other_s_place_while_its_line_is_down(
    new_shop: NewShop,
) -> None:
    shop = new_shop(programs=2)
    page, program = await shop.open(device="two")
    own, _ = await shop.open("a")
    program.leave(page)  # type: ignore[arg-type]
    with pytest.raises(AllInUse):
        await shop.open("b")
    assert not program.has_ended
    assert own.code is None


@pytest.mark.parametrize("alone", [False, True])
async def test_what_nobody_uses_ends(new_shop: NewShop, alone: bool) -> None:
    shop = new_shop(idle=100, alone=10)
    page, program = await shop.open()
    await page.shows("pressed 0")
    shop.now = 90
    await program.type("x")
    if alone:
        program.leave(page)  # type: ignore[arg-type]
    shop.now = 101 if alone else 189
    watching = asyncio.create_task(shop.programs.watch(0.01))
    if not alone:
        await asyncio.sleep(0.1)
        assert not program.has_ended
        shop.now = 191
    async with asyncio.timeout(PATIENCE):
        while not program.has_ended:
            await asyncio.sleep(0.01)
    watching.cancel()
    assert page.code == (None if alone else IDLE)


async def test_a_program_that_will_not_end_is_made_to(new_shop: NewShop) -> None:
    shop = new_shop(*STUBBORN, ends=0.2)
    _, program = await shop.open()
    await shop.programs.end_all()
    assert program.has_ended


async def test_a_server_that_is_broken_off_waits_for_no_program(new_shop: NewShop) -> None:
    before = asyncio.all_tasks()
    page, program = await new_shop().open()
    await page.shows("pressed 0")
    for task in asyncio.all_tasks() - before - {asyncio.current_task()}:
        task.cancel()
    await page.until(lambda: program.has_ended)
    assert page.code == BROKE


async def test_a_program_that_ends_by_itself_says_so_to_its_page(new_shop: NewShop) -> None:
    shop = new_shop()
    page, program = await shop.open()
    await page.shows("pressed 0")
    await program.type("q")
    await page.until(lambda: page.code == 1000)
    other, anew = await shop.open()
    assert anew is not program
    await other.shows("pressed 0")


async def test_a_program_that_breaks_says_so_to_its_page(new_shop: NewShop) -> None:
    shop = new_shop(sys.executable, "-c", "print('__GANGLION__', flush=True); raise SystemExit(3)")
    page, _ = await shop.open()
    await page.until(lambda: page.code == BROKE)


async def test_a_page_that_takes_nothing_holds_up_nobody() -> None:
    at_a_bench = a_bench(*NOISY, limits=Limits(programs=2, ends=0.2))
    async with at_a_bench as bench, bench.visitor() as deaf, bench.visitor() as other:
        for visitor in (deaf, other):
            await bench.let_in(visitor)
        reader, writer = await asyncio.open_connection("127.0.0.1", urlsplit(bench.url).port)
        cookie = "; ".join(f"{c.key}={c.value}" for c in deaf.cookie_jar)
        writer.write(
            f"GET /ws?page=a HTTP/1.1\r\nHost: {urlsplit(bench.url).netloc}\r\n"
            f"Origin: {bench.url}\r\nCookie: {cookie}\r\nUpgrade: websocket\r\n"
            "Connection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
            "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n".encode()
        )
        await reader.readuntil(b"\r\n\r\n")
        writer.transport.pause_reading()  # type: ignore[attr-defined]
        await asyncio.sleep(0.5)
        async with asyncio.timeout(PATIENCE):
            for visitor, page in ((deaf, "a"), (other, "b")):
                where = f"{bench.url}/ws?page={page}"
                async with visitor.ws_connect(where, headers={"Origin": bench.url}) as line:
                    assert (await line.receive()).type is WSMsgType.BINARY
        writer.close()


async def test_a_program_does_not_outlive_a_server_that_was_killed() -> None:
    script = "from tui.web.driver import PageDriver as D\n" + PROGRAM[-1].replace(
        "Tiny().run()", "Tiny(driver_class=D).run()"
    )
    shown, shows = os.pipe()
    pipe = asyncio.subprocess.PIPE
    child = await asyncio.create_subprocess_exec(
        sys.executable, "-c", script, stdin=pipe, stdout=shows, stderr=pipe
    )
    os.close(shows)
    drawn = b""
    while b"pressed 0" not in drawn:
        drawn += await asyncio.to_thread(os.read, shown, 4096)
    assert child.stdin is not None
    assert child.stderr is not None
    os.close(shown)
    child.stdin.close()
    assert await asyncio.wait_for(child.stderr.read(), PATIENCE) == b""
    assert await asyncio.wait_for(child.wait(), PATIENCE) == 0


async def test_a_page_may_claim_any_size(new_shop: NewShop) -> None:
    shop = new_shop()
    page, program = await shop.open("a", 10**9, -5)
    await program.set_terminal_size(10**9, 10**9)
    await program.type("x")
    await page.shows("pressed 1")


@pytest.mark.parametrize(
    "begun", [("\x1b[200~abc",), ("\x1b[20", "0~abc"), ("\x1b[200~" + "y" * 9000,)]
)
async def test_a_paste_that_is_never_ended_ends_with_its_message(
    new_shop: NewShop, begun: tuple[str, ...]
) -> None:
    """All that a page sent afterwards would be kept as part of it, without an end."""
    page, program = await new_shop().open()
    await page.shows("pressed 0")
    for text in begun:
        await program.type(text)
    await program.type("x")
    await page.shows("pressed 1")


@pytest.mark.parametrize("message", ["{", '{"a": 1}', "[]", '["stdin"]', '["stdin", 5]', '["resize", {}]', '["resize", {"width": "x", "height": 2}]', pytest.param("[" * 3000, id="deep")])  # fmt: skip
async def test_what_no_page_of_ours_sends_closes_the_line(message: str) -> None:
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        async with visitor.ws_connect(f"{bench.url}/ws?width=x", headers={"Origin": bench.url}) as line:  # fmt: skip
            await line.send_str(message)
            async with asyncio.timeout(PATIENCE):
                while (await line.receive()).type is WSMsgType.BINARY:
                    pass
            assert line.close_code == 1003


async def test_a_line_that_is_cut_is_nothing_out_of_order() -> None:
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        headers = {"Origin": bench.url}
        async with visitor.ws_connect(f"{bench.url}/ws", headers=headers) as line:
            await line.receive(timeout=PATIENCE)
            line._response.connection.transport.abort()  # type: ignore[union-attr]
        async with visitor.ws_connect(f"{bench.url}/ws", headers=headers) as again:
            await again.receive(timeout=PATIENCE)
        await asyncio.sleep(0.2)
        assert bench.said == []


async def test_over_the_wire_the_page_is_told_that_all_are_in_use() -> None:
    async with a_bench(limits=Limits(programs=1)) as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        headers = {"Origin": bench.url}
        async with visitor.ws_connect(f"{bench.url}/ws?page=a", headers=headers) as first:
            await first.receive(timeout=PATIENCE)
            async with visitor.ws_connect(f"{bench.url}/ws?page=b", headers=headers) as second:
                assert (await second.receive(timeout=PATIENCE)).type is WSMsgType.CLOSE
                assert second.close_code == FULL
            await first.send_str(json.dumps(["stdin", "q"]))
            async with asyncio.timeout(PATIENCE):
                while (await first.receive()).type is WSMsgType.BINARY:
                    pass
            assert first.close_code == 1000
