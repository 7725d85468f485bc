"""Addresses compared as addresses: `[::1]:80` and `[0:0::1]` are one place however written."""

from __future__ import annotations

import ipaddress
import socket
from urllib.parse import urlsplit

from rules.problems import BadInput

PLAIN_WARNING = (
    "This line is not encrypted: whoever is on the network between can read what goes over it, and "
    "come in as you. Use it only on a network you trust."
)
_PORTS = {"http": 80, "https": 443}

Place = tuple[str, int]
"""A host and a port."""


def place_of(netloc: str, scheme: str) -> Place:
    """What `host:port` of an address stands for; the port is that of `scheme` where none is given.

    What is no address at all is a place where nothing is.
    """
    try:
        parts = urlsplit(f"//{netloc}")
        port = parts.port if parts.port is not None else _PORTS.get(scheme, 0)
    except ValueError:
        return "", 0
    if "@" in netloc or parts.path or parts.query or parts.fragment:
        return "", 0
    return _plain(parts.hostname or ""), port


def is_local(host: str) -> bool:
    """Whether `host` can be reached from this computer only."""
    if host.lower() == "localhost":
        return True
    address = _address(host)
    return address is not None and address.is_loopback


def goes_beyond(url: str) -> bool:
    """Whether what goes to `url` leaves this computer unencrypted."""
    parts = urlsplit(url)
    return parts.scheme == "http" and not is_local(parts.hostname or "")


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens there; port 0 takes a free one. Raises `BadInput` where it cannot, and
    for an address that stands for all of this computer's."""
    try:
        family, _, _, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        if not host or ipaddress.ip_address(str(place[0]).partition("%")[0]).is_unspecified:
            raise BadInput(
                f"{host!r} stands for every address of this computer: give the one that your "
                "devices reach, as `ip addr` or the network settings show it; a page is only "
                "served under the address in its link"
            )
        return socket.create_server(place[:2], family=family, backlog=_BACKLOG)
    except (OSError, OverflowError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput(f"{host} port {port} cannot be served: {reason}") from error


_BACKLOG = 64


def _address(host: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        address = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return None
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return mapped or address


def _plain(host: str) -> str:
    address = _address(host)
    return host.lower() if address is None else str(address)
