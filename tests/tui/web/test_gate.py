"""Who is let in to the page, over real connections."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import urlsplit

import aiohttp
import pytest

from tests.tui.web.page_server import a_bench
from tui.web import server
from tui.web.addresses import is_local

PAGE = (Path(server.__file__).parent / "page" / "page.html").read_text(encoding="utf-8")


async def test_a_link_lets_one_visitor_in_once() -> None:
    async with a_bench() as bench, bench.visitor() as first, bench.visitor() as second:
        link = bench.links[-1]
        answer = await bench.let_in(first)
        assert answer.status == 200
        assert answer.url.path == "/"
        assert not answer.url.query
        cookie = answer.history[0].cookies.popitem()[1]
        assert cookie["httponly"]
        assert cookie["samesite"] == "Lax"
        async with second.get(link) as answer:
            assert answer.status == 403
            assert "has been used" in await answer.text()
        async with second.get(f"{bench.url}/") as answer:
            assert answer.status == 401
        async with first.get(f"{bench.url}/") as answer:
            assert answer.status == 200
        assert len(bench.links) == 2
        assert (await bench.let_in(second)).status == 200


async def test_looking_at_a_link_does_not_use_it_up() -> None:
    """As a chat program does that shows a preview, or a phone that checks links first."""
    async with a_bench() as bench, bench.visitor() as preview, bench.visitor() as visitor:
        for look in (preview.head, preview.get, preview.get):
            async with look(bench.links[-1]) as answer:
                assert answer.status == 200
                assert "Set-Cookie" not in answer.headers
                shown = await answer.text()
        assert 'method="post"' in shown
        assert len(bench.links) == 1
        assert (await bench.let_in(visitor)).status == 200


@pytest.mark.parametrize("token", ["", "?token=", "?token=guess", "?token=%00%ff"])
async def test_a_guess_neither_lets_in_nor_spends_the_link(token: str) -> None:
    async with a_bench() as bench, bench.visitor() as visitor:
        async with visitor.get(f"{bench.url}/enter{token}") as answer:
            assert answer.status == 403
        assert (await bench.let_in(visitor)).status == 200


@pytest.mark.parametrize(
    "path", ["/", "/ws", "/alive", "/page/page.js", "/static/js/textual.js", "/download/x", "/no"]
)
async def test_a_stranger_sees_nothing(path: str) -> None:
    async with a_bench() as bench, bench.visitor() as stranger:
        jar = {"badride-1": "x", f"badride-{urlsplit(bench.url).port}": "made-up"}
        async with stranger.get(bench.url + path, cookies=jar) as answer:
            assert answer.status == 401


async def test_only_the_name_in_the_link_is_served() -> None:
    """A name of somebody else's that points here must not reach the program (DNS rebinding)."""
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        port = urlsplit(bench.url).port
        for host, status in (
            ("evil.example", 403),
            (f"evil.example:{port}", 403),
            ("127.0.0.1", 403),
            (f"127.0.0.1:{port}", 200),
        ):
            async with visitor.get(f"{bench.url}/", headers={"Host": host}) as answer:
                assert answer.status == status, host
        async with visitor.get(bench.links[-1], headers={"Host": f"localhost:{port}"}) as answer:
            assert answer.status == 200


async def test_another_page_gets_no_line_even_with_the_cookie() -> None:
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        for headers in ({}, {"Origin": "http://evil.example"}, {"Origin": "null"}):
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await visitor.ws_connect(f"{bench.url}/ws", headers=headers)
            assert refused.value.status == 403
        async with visitor.get(
            f"{bench.url}/", headers={"Origin": "http://evil.example"}
        ) as answer:
            assert answer.status == 403
        async with visitor.post(f"{bench.url}/") as answer:
            assert answer.status == 403
        async with visitor.ws_connect(f"{bench.url}/ws", headers={"Origin": bench.url}) as line:
            assert (await line.receive(timeout=60)).type is aiohttp.WSMsgType.BINARY


async def test_the_page_and_all_it_names_come_from_this_server_alone() -> None:
    named = re.findall(r'(?:src|href)="([^"]+)"', PAGE)
    assert len(named) >= 5
    assert all(name.startswith("/") or name == "data:," for name in named)
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        async with visitor.get(f"{bench.url}/") as answer:
            policy = answer.headers["Content-Security-Policy"]
            assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        allowed = set(re.findall(r"(?:http|ws)s?://[^ ;]+", policy))
        assert {urlsplit(url).netloc for url in allowed} == {urlsplit(bench.url).netloc}
        for name in named:
            if name.startswith("/"):
                async with visitor.get(bench.url + name) as answer:
                    assert answer.status == 200, name
                    text = (await answer.read()).decode("utf-8", "replace")
                    if name.endswith(("css", "html")):
                        assert "://" not in re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL), name


@pytest.mark.parametrize(
    ("host", "local"),
    [("127.0.0.1", True), ("127.9.9.9", True), ("localhost", True), ("::1", True),
     ("0:0:0:0:0:0:0:1", True), ("::ffff:127.0.0.1", True), ("192.168.0.20", False), ("localhost.example", False), ("", False)],
)  # fmt: skip
def test_what_is_reached_from_this_machine_only(host: str, local: bool) -> None:
    assert is_local(host) is local
