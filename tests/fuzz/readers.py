"""Coverage-guided fuzzing of what reads text from people and pages: packs, case files, figures with
units, a rider's words, what a page sends.

`tests/faults/test_fuzzing.py` runs each for a while. By hand, with atheris
(https://pypi.org/project/atheris/) in a folder of its own:

    .venv/bin/pip install --target /tmp/atheris atheris
    PYTHONPATH=.:/tmp/atheris .venv/bin/python tests/fuzz/readers.py units -max_total_time=180

and in place of `units` also `listening`, `case`, `pack` and `protocol`; packs are long: -len_control=0.

What stands after the target goes to libFuzzer; a folder there keeps what it learned. It ends at the
first text that is answered with anything but a result or `BadInput`, and writes that text to a file
`crash-...`, which given in place of a folder is tried again.
"""

from __future__ import annotations

import asyncio
import json
import math
import re
import sys
import tempfile
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import atheris
from aiohttp import WSMessage, WSMsgType, web
from aiohttp.test_utils import make_mocked_request

from tests import places

with atheris.instrument_imports(include=["diagnose", "rules", "tui"]):
    from diagnose.case.files import case_from_bytes
    from diagnose.listening.listen import Listener
    from diagnose.words.heard_words import heard_lines
    from rules.loading.loader import OFFROAD, load_pack
    from rules.problems import BadInput
    from rules.units.quantities import Quantity, parse_quantity, parse_threshold, si_unit, unit_kind
    from tui.web.gate import ENTER, Gate
    from tui.web.program import Program
    from tui.web.server import hear

MOWER = places.MOWER / "pack.yaml"
PACK = MOWER.read_text(encoding="utf-8")
CASE = """\
case: 1
machine: {engine: petrol}
targets: {plug-gap: 0.7 mm}
complaints: [no-start, vibration/deck]
answers: {tank-look: stale, stood-all-winter: yes, plug-gap-reading: "0,9 mm", spark-seen: dont-know}
afterwards: [{correction: fill-up, ride: better, answers: {tank-look: fresh}}]
note: Second visit.
"""
UNITS = ["psi", "mm", "°C", "clicks", "N·m", "count", "%"]
PARTS = [
    "target",
    " ",
    "+",
    "-",
    "x",
    "*",
    ".",
    ",",
    "−",
    "0",
    "7",
    "13",
    "999999999",
    "٣",
    "e",
    *UNITS,
]
_WORD = re.compile(r"[\w-]+|[^\w\s]")


def units(data: bytes) -> None:
    """A figure, then a limit, of any text."""
    given = atheris.FuzzedDataProvider(data)
    unit = given.PickValueInList(UNITS)
    parts = (
        given.PickValueInList(PARTS) if given.ConsumeIntInRange(0, 3) else given.ConsumeUnicode(4)
        for _ in range(given.ConsumeIntInRange(0, 8))
    )
    text = "".join(parts)
    try:
        quantity = parse_quantity(text, unit)
        assert math.isfinite(quantity.to(si_unit(quantity.unit)).value)
        assert quantity.kind == unit_kind(unit)
    except BadInput as error:
        assert str(error).isprintable()
    try:
        assert math.isfinite(parse_threshold(text, unit).value(Quantity(1.0, unit), unit))
    except BadInput as error:
        assert str(error).isprintable()


def _patched(data: bytes, sound: str) -> bytes:
    """A sound text with some words of it in other places, or bytes of no such text."""
    given = atheris.FuzzedDataProvider(data)
    if given.ConsumeIntInRange(0, 9) == 0:
        return bytes(given.ConsumeBytes(4000))
    words = _WORD.findall(sound)
    raw = sound.encode()
    for _ in range(given.ConsumeIntInRange(1, 4)):
        start = given.ConsumeIntInRange(0, len(raw))
        end = start + given.ConsumeIntInRange(0, 40)
        junk = (
            given.PickValueInList(words).encode()
            if given.ConsumeBool()
            else bytes(given.ConsumeBytes(given.ConsumeIntInRange(0, 40)))
        )
        raw = raw[:start] + junk + raw[end:]
    return raw


def _sound_mower() -> Callable[[bytes], None]:
    rules = load_pack(MOWER.parent)

    def case(data: bytes) -> None:
        try:
            read = case_from_bytes(rules, _patched(data, CASE), "f")
        except BadInput as error:
            assert str(error)
        else:
            assert read.events

    return case


def _pack_in(folder: Path) -> Callable[[bytes], None]:
    def pack(data: bytes) -> None:
        (folder / "pack.yaml").write_bytes(_patched(data, PACK))
        try:
            assert load_pack(folder).causes
        except BadInput as error:
            assert str(error)

    return pack


# what riders say, and what trips up who reads them
SAID = [
    "front",
    "fork",
    "rear",
    "shock",
    "harsh",
    "dives",
    "wallows",
    "beats",
    "me",
    "up",
    "on",
    "small",
    "square",
    "edges",
    "chop",
    "kicks",
    "sideways\nnot",
    "never",
    "no",
    "but",
    "and",
    "then",
    "since",
    "after",
    "before",
    "both",
    "ends",
    "leaks",
    "oil",
    "sag",
    "128",
    "mm",
    "13",
    "psi",
    "0,9",
    "bar",
    "clicks",
    "out",
    "in",
    "turn\nturns",
    "two",
    "another",
    "from",
    "to",
    "12",
    "/",
    "8",
    "'",
    '"',
    ".",
    ",",
    ";",
    "?",
    "!",
    "-",
    "–",
    "…",
    "½",
    "³",
    "٣",
    "０",
    "é",
    "ß",
    "🏍️",
    "\u202e",
    "\x00",
    "\x1b[31m",
    "N·m",
    "°C",
    "1e400",
    "99999999999",
]


def _shipped_listener() -> Callable[[bytes], None]:
    rules = load_pack(OFFROAD)
    listener = Listener(rules)

    def listening(data: bytes) -> None:
        given = atheris.FuzzedDataProvider(data)
        parts = [
            given.PickValueInList(SAID)
            if given.ConsumeIntInRange(0, 4)
            else given.ConsumeUnicode(6)
            for _ in range(given.ConsumeIntInRange(0, 40))
        ]
        text = (" " if given.ConsumeBool() else "").join(parts)
        story = listener.listen(text)
        assert story == listener.listen(text)
        for words, sure in [
            *((one.words, one.sure) for one in story.complaints),
            *((one.words, one.sure) for one in story.facts),
        ]:
            assert words
            assert all(text[part.start : part.end] == part.text for part in words)
            assert 0 < sure <= 1
        assert all(list(heard_lines(rules, story)))

    return listening


class _Page:
    """A page that says one thing."""

    def __init__(self, said: str) -> None:
        self._said = said

    async def __aiter__(self) -> AsyncIterator[WSMessage]:
        yield WSMessage(WSMsgType.TEXT, self._said, None)

    async def send_json(self, told: list[str]) -> None:
        assert len(json.dumps(told)) < 500


class _Program(Program):
    """A program that only looks at what reaches it."""

    async def send_bytes(self, data: bytes) -> bool:
        assert len(data) < 20_000
        return True

    async def send_meta(self, data: dict[str, str | int | bool | None]) -> bool:
        assert data["type"] in {"resize", "focus", "blur", "given", "taken"}
        if data["type"] == "resize":
            assert 1 <= int(data["width"] or 0) <= 400
            assert 1 <= int(data["height"] or 0) <= 200
        assert len(str(data.get("name", ""))) <= 100
        return True


_WORDS = ["stdin", "resize", "ping", "focus", "blur", "given", "taken", "width", "height", "name", "content",
          "[", "]", "{", "}", ":", ",", '"', "1", "-1", "1e999", "80", "null", "true", "\\ud800", "\\u0000", "[" * 2000]  # fmt: skip
_SOUND = [
    '["stdin", "x"]', '["resize", {"width": 80, "height": 24}]', '["ping", "1"]', '["focus"]',
    '["given", {"name": "case.yaml", "content": "Y2FzZQ=="}]', '["taken"]',
]  # fmt: skip
_PLACES = ["127.0.0.1", "localhost", "[::1]", "127.1", "evil.example", ":8765", ":", "@", "/", "0", "http://", "https://", "[", "%00", "xn--"]  # fmt: skip
_OURS = "http://127.0.0.1:8765"


def _page_messages() -> Callable[[bytes], None]:
    loop = asyncio.new_event_loop()
    links: list[str] = []
    gate = Gate(_OURS, links.append)
    gate.open_next()

    async def inside(request: web.Request) -> web.StreamResponse:
        return web.Response(text="inside")

    def message(given: Any) -> None:
        raw = given.PickValueInList(_SOUND)
        for _ in range(given.ConsumeIntInRange(0, 4)):
            start = given.ConsumeIntInRange(0, len(raw))
            end = start + given.ConsumeIntInRange(0, 12)
            junk = given.PickValueInList(_WORDS) if given.ConsumeBool() else given.ConsumeUnicode(8)
            raw = raw[:start] + junk + raw[end:]
        program: Any = _Program(("none",), lambda: 0.0)
        page: Any = _Page(raw)
        with suppress(ValueError):
            loop.run_until_complete(hear(page, program))

    def request(given: Any) -> None:
        def place() -> str:
            parts = (
                given.PickValueInList(_PLACES) if given.ConsumeBool() else given.ConsumeUnicode(4)
                for _ in range(given.ConsumeIntInRange(0, 4))
            )
            text = "".join(parts)
            return (
                text.encode("utf-8", "replace")
                .decode("latin-1")
                .replace("\r", "")
                .replace("\n", "")
            )

        headers = {"Host": place() if given.ConsumeBool() else "127.0.0.1:8765"}
        if given.ConsumeBool():
            headers["Origin"] = place() if given.ConsumeBool() else _OURS
        if given.ConsumeBool():
            headers["Cookie"] = f"badride-8765={place()}"
        path = given.PickValueInList(["/", "/ws", "/alive", ENTER, ENTER + "?token=x", "//enter"])
        method = given.PickValueInList(["GET", "POST", "HEAD", "OPTIONS"])
        asked = make_mocked_request(method, path, headers=headers)
        try:
            loop.run_until_complete(gate.middleware(asked, inside))
        except web.HTTPException:
            return
        # nobody has the cookie, so nothing but the page with the button may be reached
        assert asked.path == ENTER

    def protocol(data: bytes) -> None:
        given = atheris.FuzzedDataProvider(data)
        (message if given.ConsumeBool() else request)(given)

    return protocol


def main() -> None:
    """Fuzz the target named first."""
    name = sys.argv.pop(1) if len(sys.argv) > 1 else ""
    with tempfile.TemporaryDirectory() as folder:
        targets = {
            "units": lambda: units,
            "case": _sound_mower,
            "pack": lambda: _pack_in(Path(folder)),
            "listening": _shipped_listener,
            "protocol": _page_messages,
        }
        if name not in targets:
            sys.exit(f"name what to fuzz: {', '.join(targets)}")
        atheris.Setup(sys.argv, targets[name]())
        atheris.Fuzz()


if __name__ == "__main__":
    main()
