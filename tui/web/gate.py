"""Who is let in: the holder of a link that nobody has used, and everybody who came in with one.

The order of the checks matters: the address asked for, where the request comes from, who asks. So
a page of another site, or a name that somebody else has pointed at this computer, is refused.
"""

from __future__ import annotations

import hashlib
import html
import secrets
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

from aiohttp import web
from aiohttp.typedefs import Handler, Middleware

from tui.web.addresses import PLAIN_WARNING, goes_beyond, is_local, place_of

ENTER = "/enter"
_ENTER_PAGE = Path(__file__).parent / "page" / "enter.html"
_LOCAL = ("127.0.0.1", "localhost", "::1")
_LONG_ENOUGH = 32


class Gate:
    """One link is open at a time; using it closes it and opens the next.

    `url` is where people reach the server, as `http://127.0.0.1:8765`; `announce` is told every
    new link. A link is 256 random bits and its holder gets a cookie with as many; of both only a
    digest is kept. Looking at a link does not use it up, as programs that preview links would: the
    page behind it has a button that does.
    """

    def __init__(self, url: str, announce: Callable[[str], None]) -> None:
        parts = urlsplit(url)
        self._url = url.rstrip("/")
        self._secure = parts.scheme == "https"
        self._scheme = parts.scheme
        self._warning = PLAIN_WARNING if goes_beyond(url) else ""
        self._hosts = {place_of(parts.netloc, parts.scheme)}
        if is_local(parts.hostname or "") and parts.port:
            self._hosts |= {(name, parts.port) for name in _LOCAL}
        self._announce = announce
        # browsers send a cookie to every port of a host
        self._cookie = f"badride-{parts.port or parts.scheme}"
        self._open = b""
        self._inside: set[bytes] = set()

    def open_next(self) -> None:
        """Make a link and announce it."""
        token = secrets.token_urlsafe(_LONG_ENOUGH)
        self._open = _digest(token)
        self._announce(f"{self._url}{ENTER}?token={token}")

    async def show_button(self, request: web.Request) -> web.StreamResponse:
        """The page behind the link, whose button lets the device in."""
        token = request.query.get("token", "")
        self._check(token)
        text = _ENTER_PAGE.read_text(encoding="utf-8")
        text = text.replace("{token}", html.escape(token)).replace("{warning}", self._warning)
        # with `no-referrer` a browser would not say that the button is on a page of ours
        headers = {"Referrer-Policy": "same-origin"}
        return web.Response(text=text, content_type="text/html", headers=headers)

    async def enter(self, request: web.Request) -> web.StreamResponse:
        """Trade the link for a cookie, once."""
        self._check(str((await request.post()).get("token", "")))
        self._open = b""
        key = secrets.token_urlsafe(_LONG_ENOUGH)
        self._inside.add(_digest(key))
        # 303 and not a page, so that the link leaves the address bar
        response = web.Response(status=303, headers={"Location": "/"})
        response.set_cookie(
            self._cookie, key, httponly=True, samesite="Lax", secure=self._secure, path="/"
        )
        self.open_next()
        return response

    def _check(self, token: str) -> None:
        if not self._open or not secrets.compare_digest(_digest(token), self._open):
            raise web.HTTPForbidden(
                text="This link has been used, or is not one of this program's. "
                "The terminal where `badride serve` runs shows the one to use."
            )

    def who(self, request: web.Request) -> str:
        """A name for who asks; empty for a stranger."""
        key = _digest(request.cookies.get(self._cookie, ""))
        return key.hex() if key in self._inside else ""

    @property
    def middleware(self) -> Middleware:
        """Refuses every request that must not come in, before it is handled."""

        @web.middleware
        async def check(request: web.Request, handler: Handler) -> web.StreamResponse:
            if place_of(request.host, self._scheme) not in self._hosts:
                raise web.HTTPForbidden(text="This address is not served here.")
            origin = request.headers.get("Origin")
            upgrades = "upgrade" in request.headers.get("Connection", "").lower()
            asks_for_more = upgrades or request.method not in ("GET", "HEAD")
            if (origin is not None or asks_for_more) and not self._is_ours(origin or ""):
                raise web.HTTPForbidden(text="Requests from other pages are refused.")
            if request.path != ENTER and not self.who(request):
                raise web.HTTPUnauthorized(
                    text="Open this page with the link that `badride serve` shows in its terminal."
                )
            return await handler(request)

        return check

    def _is_ours(self, origin: str) -> bool:
        scheme, _, netloc = origin.lower().partition("://")
        return scheme == self._scheme and place_of(netloc, scheme) in self._hosts


def _digest(secret: str) -> bytes:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).digest()
