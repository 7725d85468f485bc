"""What a guest can reach of the computer that serves: nothing, whatever the page sends."""

from __future__ import annotations

import asyncio
import base64
import json
import re
import shutil
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp
import pyte
import pytest

from diagnose.case.files import case_from_bytes
from rules.loading.loader import load_packs
from rules.loading.pack_files import WORKED_CASES
from tests.places import MOWER, ROOT
from tests.tui.web.page_server import a_bench
from tui.web.program import cleaned

PATIENCE = 60.0
SECRET = "daemon:*:19000:0:99999:7:::"  # noqa: S105  # invented
CASE = "case: 1\ncomplaints: [no-start]\nnote: from the device\n"


class Guest:
    """A page that says whatever the test wants, and draws what comes."""

    def __init__(self, line: aiohttp.ClientWebSocketResponse) -> None:
        self._line = line
        self._terminal = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._terminal)
        self.told: list[list[Any]] = []
        self.seen = ""
        """Everything the screen ever showed."""

    @property
    def shown(self) -> str:
        return " ".join(re.sub(r"[│┃]", " ", "\n".join(self._terminal.display)).split())

    async def say(self, *words: Any) -> None:
        await self._line.send_str(json.dumps(words))

    async def type(self, *texts: str) -> None:
        for text in texts:
            await self.say("stdin", text)

    async def shows(self, words: str) -> None:
        await self._until(lambda: words in self.shown, words)

    async def shows_not(self, words: str) -> None:
        await self._until(lambda: words not in self.shown, f"no {words}")

    async def hears(self, word: str) -> dict[str, Any]:
        await self._until(lambda: any(told[0] == word for told in self.told), word)
        at = next(n for n, told in enumerate(self.told) if told[0] == word)
        heard: dict[str, Any] = self.told[at][1]
        del self.told[: at + 1]
        return heard

    async def give(self, name: str, content: str) -> None:
        held = base64.b64encode(content.encode()).decode()
        await self.say("given", {"name": name, "content": held})

    async def _until(self, holds: Any, what: str) -> None:
        try:
            async with asyncio.timeout(PATIENCE):
                while not holds():
                    message = await self._line.receive()
                    assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT)
                    if message.type is aiohttp.WSMsgType.BINARY:
                        self._stream.feed(message.data)
                        self.seen += self.shown
                    else:
                        self.told.append(json.loads(message.data))
        except TimeoutError:
            raise AssertionError(f"waited for {what!r}; shown: {self.shown}") from None


@asynccontextmanager
async def a_guest(
    store: Path, shows: str = "New complaint", pack: Path = MOWER
) -> AsyncIterator[Guest]:
    """A guest of a program that keeps its cases in `store` and knows about mowers; it has come
    once the program `shows` that."""
    start = "from tui.cli.main import run; run()"
    options = (f"--pack={pack}", f"--store={store}", "--unicode")
    async with (
        a_bench(sys.executable, "-P", "-c", start, "screen", *options) as bench,
        bench.visitor() as visitor,
    ):
        await bench.let_in(visitor)
        headers = {"Origin": bench.url}
        async with visitor.ws_connect(
            f"{bench.url}/ws?width=80&height=24", headers=headers
        ) as line:
            guest = Guest(line)
            await guest.shows(shows)
            yield guest


@pytest.fixture
def host(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder that the served program runs in, with what nobody may read or change in it."""
    folder = tmp_path / "host"
    (folder / "inner").mkdir(parents=True)
    for name in ("secret.yaml", ".bashrc", "inner/case.yaml"):
        (folder / name).write_text(f"{SECRET}\n", encoding="utf-8")
    (folder / "case.yaml").symlink_to(folder / "secret.yaml")
    monkeypatch.chdir(folder)
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("BADRIDE_LOG", "off")
    return folder


def held(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path): path.read_bytes() for path in files}


async def test_a_guest_opens_no_file_of_the_host_and_writes_none(
    host: Path, tmp_path: Path
) -> None:
    before = held(host)
    store = tmp_path / "store.sqlite"
    store.write_bytes(b"no store\n" * 900)
    async with a_guest(store, shows="cannot be kept") as guest:
        await guest.shows("The store: the file is torn")  # and not where it is
        store.unlink()
        await guest.type("1")
        await guest.shows("Every answer is kept at once")
        await guest.type(
            "\x10", "screenshot"
        )  # the palette has only what the screens have keys for
        await guest.shows("No matches")
        await guest.type("\x1b")
        await guest.shows_not("No matches")
        await guest.type("o")
        await guest.shows("Choose a file of this device")
        await guest.hears("take-file")
        for path in ("/etc/passwd", "secret.yaml", "~root/x", "case.yaml"):
            await guest.type("\x15", path, "\r")
        await guest.type("\x1b")
        await guest.hears("no-file")  # keys are taken in order: none of them did anything
        await guest.type("o")
        await guest.hears("take-file")
        # a name is no path: what the device sent is what is read
        await guest.give(str(host / "secret.yaml"), "case: 1\n")
        await guest.shows("give `complaints`")
        await guest.type("o")
        await guest.hears("take-file")
        await guest.give("case.yaml", CASE)
        await guest.shows("Job card")
        for name, refusal in (
            ("/etc/cron.d/x.md", "Only a name"),
            (f"{host}/new.md", "Only a name"),
            ("../x.md", "Only a name"),
            ("inner/../x.md", "Only a name"),
            (r"..\x.md", "Only a name"),
            ("~root", "Only a name"),
            (".bashrc", "Only a name"),
            ("x" * 98 + ".md", "at most 100 letters"),
            ("/dev/stdout", "Only a name"),
        ):
            await guest.type("\x13")
            await guest.shows("saved on this device")
            await guest.type("\x15", name, "\r")
            await guest.shows(refusal)
            await guest.type("\x1b")
            await guest.shows_not(refusal)
        await guest.type("\x13")
        await guest.shows("saved on this device")
        await guest.type("\r")  # case.yaml, which is also a link in the host's folder
        offered = await guest.hears("hand-over")
        assert offered["name"] == "case.yaml"
        saved = base64.b64decode(offered["content"])
        assert case_from_bytes(load_packs([MOWER]), saved, "f").events
        await guest.say("taken")
        await guest.hears("no-file")
    assert held(host) == before
    assert SECRET not in guest.seen
    assert "store.sqlite" not in guest.seen
    assert {path.name for path in host.iterdir()} == {
        "inner",
        "secret.yaml",
        ".bashrc",
        "case.yaml",
    }


@pytest.mark.long
async def test_no_trouble_tells_a_guest_where_something_is(host: Path, tmp_path: Path) -> None:
    hidden = tmp_path / "hidden"
    hidden.mkdir()
    store = hidden / "kept.sqlite"
    pack = hidden / "pack"
    shutil.copytree(MOWER, pack)
    (pack / WORKED_CASES).mkdir(exist_ok=True)
    (pack / WORKED_CASES / "broken.yaml").write_text("case: nonsense\n", encoding="utf-8")
    async with a_guest(store, "Every answer is kept at once", pack) as guest:
        await guest.type("k")
        await guest.shows("broken.yaml:1")
        store.write_bytes(b"no store\n" * 900)
        await guest.type("\r", "\r", "1", "\r", "\r", "?")
        await guest.shows("Not kept yet")
        await guest.shows("The store: the file is torn")
    for telling in ("hidden", "kept.sqlite", str(tmp_path)):
        assert telling not in guest.seen


def test_a_served_program_gets_a_short_list_of_the_environment() -> None:
    given = {"PATH": "p", "LC_ALL": "c", "BADRIDE_STORE": "s", "AWS_SECRET_ACCESS_KEY": "x",
             "TEXTUAL": "devtools", "TEXTUAL_LOG": "x", "EDITOR": "vi", "PYTHONSTARTUP": "x",
             "LD_PRELOAD": "x", "XPATH": "x"}  # fmt: skip
    assert set(cleaned(given)) == {"PATH", "LC_ALL", "BADRIDE_STORE"}
