"""Who is let in: the holder of a link that nobody has used, and everybody who came in with one.

The order of the checks matters: the address asked for, where the request comes from, who asks. So
a page of another site, or a name that somebody else has pointed at this computer, is refused.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from urllib.parse import urlsplit

from aiohttp import web
from aiohttp.typedefs import Handler, Middleware

ENTER = "/enter"
_LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]")
_LONG_ENOUGH = 32


class Gate:
    """One link is open at a time; using it closes it and opens the next.

    `url` is where people reach the server, as `http://127.0.0.1:8765`; `announce` is told every
    new link. A link is 256 random bits and its holder gets a cookie with as many; of both only a
    digest is kept.
    """

    def __init__(self, url: str, announce: Callable[[str], None]) -> None:
        parts = urlsplit(url)
        self._url = url.rstrip("/")
        self._secure = parts.scheme == "https"
        self._hosts = {parts.netloc.lower()}
        if is_local(parts.hostname or "") and parts.port:
            self._hosts |= {f"{name}:{parts.port}" for name in _LOCAL_NAMES}
        self._origins = {f"{parts.scheme}://{host}" for host in self._hosts}
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

    async def enter(self, request: web.Request) -> web.StreamResponse:
        """Trade the link for a cookie, once."""
        given = _digest(request.query.get("token", ""))
        if not self._open or not secrets.compare_digest(given, self._open):
            raise web.HTTPForbidden(
                text="This link has been used, or is not one of this program's. "
                "The terminal where `badride serve` runs shows the one to use."
            )
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

    def who(self, request: web.Request) -> str:
        """A name for who asks; empty for a stranger."""
        key = _digest(request.cookies.get(self._cookie, ""))
        return key.hex() if key in self._inside else ""

    @property
    def middleware(self) -> Middleware:
        """Refuses every request that must not come in, before it is handled."""

        @web.middleware
        async def check(request: web.Request, handler: Handler) -> web.StreamResponse:
            if request.host.lower() not in self._hosts:
                raise web.HTTPForbidden(text="This address is not served here.")
            origin = request.headers.get("Origin")
            upgrades = "upgrade" in request.headers.get("Connection", "").lower()
            if (origin or upgrades or request.method not in ("GET", "HEAD")) and (
                (origin or "").lower() not in self._origins
            ):
                raise web.HTTPForbidden(text="Requests from other pages are refused.")
            if request.path != ENTER and not self.who(request):
                raise web.HTTPUnauthorized(
                    text="Open this page with the link that `badride serve` shows in its terminal."
                )
            return await handler(request)

        return check


def is_local(host: str) -> bool:
    """Whether `host` can be reached from this computer only."""
    return host in {"localhost", "::1"} or host.startswith("127.")


def _digest(secret: str) -> bytes:
    return hashlib.sha256(secret.encode()).digest()
