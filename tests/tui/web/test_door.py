"""The connections: how many, how long they may be silent, and what the terminal hears of it."""

from __future__ import annotations

import asyncio
import logging
import ssl
import subprocess
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import aiohttp
import pytest
from click.testing import CliRunner

from rules.problems import BadInput
from tests.tui.web.page_server import PROGRAM, a_bench
from tui.cli.main import main
from tui.web import server
from tui.web.addresses import goes_beyond, listen, place_of
from tui.web.door import Refusals, Room
from tui.web.gate import Gate
from tui.web.programs import Limits

HALF = b"GET / HTTP/1.1\r\nHost: x\r\n"
Line = tuple[asyncio.StreamReader, asyncio.StreamWriter]


async def connected(url: str, said: bytes = HALF) -> Line:
    reader, writer = await asyncio.open_connection("127.0.0.1", urlsplit(url).port)
    writer.write(said)
    return reader, writer


async def is_closed(line: Line) -> bool:
    """Whether the server closes the connection, of whatever it answers before."""
    with suppress(ConnectionError):
        await asyncio.wait_for(line[0].read(), 60)
    return True


async def test_connections_over_the_limit_are_closed_and_told_in_one_line(
    caplog: pytest.LogCaptureFixture,
) -> None:
    async with a_bench(room=Room(in_all=40, each=6)) as bench, bench.visitor() as visitor:
        lines = [await connected(bench.url) for _ in range(60)]
        for line in lines[6:]:
            assert await is_closed(line)
        assert len(bench.said) == 1
        assert "over the limit, the last from 127.0.0.1" in bench.said[0]
        for _, writer in lines:
            writer.close()
        with suppress(aiohttp.ClientError):  # the server may not have seen all of them go
            await bench.let_in(visitor)
    assert caplog.text == ""


async def test_half_a_request_does_not_hold_a_connection(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "_SILENT", 0.2)
    async with a_bench() as bench:
        for said in (b"", HALF, HALF + b"\r\n", b"\x16\x03\x01\x00"):
            assert await is_closed(await connected(bench.url, said)), said


@pytest.mark.long  # the library lingers ten seconds
async def test_half_a_body_does_not_either(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "_ANSWERED_WITHIN", 0.2)
    monkeypatch.setattr(server, "_SILENT", 0.2)
    async with a_bench() as bench:
        host = urlsplit(bench.url).netloc
        request = (
            f"POST /enter HTTP/1.1\r\nHost: {host}\r\nOrigin: {bench.url}\r\n"
            "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 90\r\n\r\ntoken="
        )
        assert await is_closed(await connected(bench.url, request.encode()))


@pytest.mark.parametrize(
    "said",
    [b"GET / HTTP/1.1\r\nHost: x\r\n\r\n", b"nonsense\r\n\r\n", b"GET /" + b"x" * 9000 + b" HTTP/1.1\r\n\r\n"],
)  # fmt: skip
async def test_no_answer_names_what_serves(said: bytes) -> None:
    async with a_bench() as bench:
        reader, writer = await connected(bench.url, said)
        head = (await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), 60)).lower()
        assert b"server: badride\r\n" in head
        assert b"python" not in head
        writer.close()


async def test_no_folder_is_listed_and_no_path_leads_out() -> None:
    async with a_bench() as bench, bench.visitor() as visitor:
        await bench.let_in(visitor)
        for path in ("/static", "/static/", "/static/js/", "/page/", "/page/%2e%2e/gate.py",
                     "/static/..%2f..%2fserver.py", "/static/js/%2fetc%2fpasswd", "/download/x"):  # fmt: skip
            async with visitor.get(bench.url + path) as answer:
                assert answer.status in (403, 404), path


def test_refusals_are_told_once_a_minute_with_their_counts() -> None:
    said: list[str] = []
    now = 0.0
    refusals = Refusals(said.append, lambda: now)
    refusals.note("requests with 401")
    for _ in range(300):
        refusals.note("requests with 401")
        refusals.handle(logging.makeLogRecord({"levelno": logging.ERROR, "exc_info": (None,) * 3}))
    assert said == ["Refused: 1 requests with 401."]
    now = 59.0
    refusals.say_due()
    assert len(said) == 1
    now = 61.0
    refusals.say_due()
    assert said[1:] == ["Refused: 300 requests with 401, 300 broken requests."]
    now = 200.0
    refusals.say_due()
    assert len(said) == 2


@pytest.mark.parametrize("host", ["0", "0.0.0.0", "::", "::0", "0:0:0:0:0:0:0:0", "0x0", "000.0.0.0"])  # noqa: S104  # fmt: skip
def test_an_address_that_stands_for_all_is_refused_however_it_is_written(host: str) -> None:
    with pytest.raises(BadInput, match=r"stands for every address|cannot be served"):
        listen(host, 0)
    shown = CliRunner().invoke(main, ["serve", "--host", host, "--port", "0"])
    assert shown.exit_code == 2


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("[::1]:80", "[0:0:0:0:0:0:0:1]", True), ("[::ffff:127.0.0.1]:5", "127.0.0.1:5", True),
     ("A.example:80", "a.EXAMPLE", True), ("127.0.0.1:80", "127.0.0.1:81", False),
     ("127.0.0.1", "127.0.0.1.evil.example", False), ("x@127.0.0.1", "127.0.0.1", False),
     ("127.0.0.1/x", "127.0.0.1", False), ("127.0.0.1:99999", "127.0.0.1", False)],
)  # fmt: skip
def test_addresses_are_compared_as_addresses(one: str, other: str, same: bool) -> None:
    assert (place_of(one, "http") == place_of(other, "http")) is same


@pytest.mark.parametrize(
    ("url", "beyond"),
    [("http://127.0.0.1:1", False), ("http://[::1]:1", False), ("https://192.168.0.2:1", False),
     ("http://192.168.0.2:1", True), ("http://bench.example", True)],
)  # fmt: skip
def test_a_line_that_others_can_read_is_told_of(url: str, beyond: bool) -> None:
    assert goes_beyond(url) is beyond


async def test_the_page_behind_the_link_warns_where_others_can_read_along() -> None:
    told: list[str] = []
    gate = Gate("http://192.168.0.2:1", told.append)
    gate.open_next()
    token = told[0].partition("token=")[2]

    class Asked:
        query = {"token": token}  # noqa: RUF012

    shown = await gate.show_button(Asked())  # type: ignore[arg-type]
    assert "not encrypted" in str(shown.text)  # type: ignore[attr-defined]


async def test_a_certificate_encrypts_the_line(tmp_path: Path) -> None:
    certificate, key = made_certificate(tmp_path)
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(certificate, key)
    trusting = ssl.create_default_context(cafile=str(certificate))
    listener = listen("127.0.0.1", 0)
    url = f"https://127.0.0.1:{listener.getsockname()[1]}"
    links: list[str] = []
    pages = server.PageServer(PROGRAM, Gate(url, links.append), Limits(), tls=context)
    jar = aiohttp.CookieJar(unsafe=True)
    async with pages.open_on(listener), aiohttp.ClientSession(cookie_jar=jar) as visitor:
        # a caller that never begins its TLS neither stops others nor is told of by a traceback
        _, silent = await asyncio.open_connection(*listener.getsockname())
        token = {"token": links[0].partition("token=")[2]}
        async with visitor.post(
            f"{url}/enter", data=token, headers={"Origin": url}, ssl=trusting
        ) as answer:
            assert answer.status == 200
            assert answer.history[0].cookies.popitem()[1]["secure"]
        with pytest.raises(aiohttp.ClientError):
            await visitor.get(url.replace("https", "http"))
        silent.close()


@pytest.mark.parametrize("wrong", ["missing", "swapped", "alone", "text"])
def test_a_certificate_that_is_none_is_told_in_words(tmp_path: Path, wrong: str) -> None:
    certificate, key = made_certificate(tmp_path)
    if wrong == "text":
        key.write_text("hello", encoding="utf-8")
    files = {
        "missing": ["--certificate", "no.pem", "--key", str(key)],
        "swapped": ["--certificate", str(key), "--key", str(certificate)],
        "alone": ["--certificate", str(certificate)],
        "text": ["--certificate", str(certificate), "--key", str(key)],
    }
    shown = CliRunner().invoke(main, ["serve", "--port", "0", *files[wrong]])
    assert shown.exit_code == 2
    assert "certificate" in shown.output
    assert "hello" not in shown.output


def test_a_key_of_another_certificate_is_told_from_a_file_that_is_none(tmp_path: Path) -> None:
    certificate, _ = made_certificate(tmp_path)
    other = tmp_path / "other"
    other.mkdir()
    _, key = made_certificate(other)
    shown = CliRunner().invoke(
        main, ["serve", "--port", "0", "--certificate", str(certificate), "--key", str(key)]
    )
    assert (shown.exit_code, shown.output) == (2, f"{key} is not the key of {certificate}\n")


@pytest.mark.parametrize(
    ("begins", "ends", "warned"),
    [("20200101", "20210101", True), ("20200101", "20990101", False), ("20980101", "20990101", True)],
)  # fmt: skip
def test_a_certificate_out_of_its_time_is_said_before_browsers_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, begins: str, ends: str, warned: bool
) -> None:
    _, key = made_certificate(tmp_path)
    certificate = dated_certificate(tmp_path, key, begins, ends)
    monkeypatch.setattr(server.PageServer, "serve_on", lambda self, listener: listener.close())
    shown = CliRunner().invoke(
        main, ["serve", "--port", "0", "--certificate", str(certificate), "--key", str(key)]
    )
    assert shown.exit_code == 0
    assert ("browsers will warn" in shown.output) is warned


@pytest.mark.parametrize(
    "wrong", [["--pack", "nowhere"], ["--store", "sqlite://"], ["--store", "~nosuchuser/x"],
              ["--public-url", "http://a b"]],
)  # fmt: skip
def test_what_no_program_could_start_with_is_refused_before_a_link_is_shown(
    monkeypatch: pytest.MonkeyPatch, wrong: list[str]
) -> None:
    monkeypatch.setattr(server.PageServer, "serve_on", lambda self, listener: listener.close())
    shown = CliRunner().invoke(main, ["serve", "--port", "0", *wrong])
    assert shown.exit_code == 2
    assert wrong[1] in shown.output or wrong[0] in shown.output


def dated_certificate(folder: Path, key: Path, begins: str, ends: str) -> Path:
    """A certificate of `key` that holds between two days, signed by itself."""
    (folder / "index").touch()
    (folder / "ca.cnf").write_text(
        f"[ca]\ndefault_ca = it\n[it]\ndatabase = {folder}/index\nnew_certs_dir = {folder}\n"
        "rand_serial = yes\ndefault_md = sha256\npolicy = any\n[any]\ncommonName = supplied\n",
        encoding="utf-8",
    )
    asked, certificate = folder / "asked.pem", folder / "dated.pem"
    subprocess.run(
        ["openssl", "req", "-new", "-key", str(key), "-subj", "/CN=bench.example", "-out", str(asked)],
        check=True, capture_output=True,
    )  # fmt: skip
    subprocess.run(
        ["openssl", "ca", "-batch", "-selfsign", "-notext", "-config", str(folder / "ca.cnf"),
         "-keyfile", str(key), "-in", str(asked), "-out", str(certificate),
         "-startdate", f"{begins}000000Z", "-enddate", f"{ends}000000Z"],
        check=True, capture_output=True,
    )  # fmt: skip
    return certificate


def made_certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate that signs itself, and its key."""
    certificate, key = folder / "c.pem", folder / "k.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
         "-nodes", "-keyout", str(key), "-out", str(certificate), "-days", "2",
         "-subj", "/CN=bench.example", "-addext", "subjectAltName=IP:127.0.0.1"],
        check=True, capture_output=True,
    )  # fmt: skip
    return certificate, key
