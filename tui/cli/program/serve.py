"""`serve`: the screens in a web page, for a phone or tablet at the bench."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import click

from tui.cli.common import Packs, load_rules, or_exit, pack_option
from tui.cli.person_path import PersonPath
from tui.cli.program.screen import screen_options

if TYPE_CHECKING:
    import ssl

_file = PersonPath(dir_okay=False)
_OUT_OF_ITS_TIME = (9, 10)
"""What OpenSSL calls a certificate that is not valid yet, and one that has expired."""


@click.command()
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address of this computer to serve on; the default is reached from this computer only.",
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8765, show_default=True, help="0: a free one."
)
@click.option(
    "--public-url",
    metavar="URL",
    help="Where people reach it, if not there: the address of a proxy that adds TLS.",
)
@click.option(
    "--certificate",
    type=_file,
    help="PEM file of a certificate; with it the line is encrypted and the link begins with https.",
)
@click.option("--key", type=_file, help="PEM file of the certificate's key, without a passphrase.")
@click.option(
    "--programs",
    type=click.IntRange(1, 50),
    default=4,
    show_default=True,
    help="How many may run at once, a device each.",
)
@click.option(
    "--idle",
    type=click.FloatRange(0, min_open=True),
    default=30.0,
    show_default=True,
    help="Minutes without a key or a tap after which a program is ended.",
)
@screen_options
@pack_option
def serve(
    host: str,
    port: int,
    public_url: str | None,
    certificate: Path | None,
    key: Path | None,
    programs: int,
    idle: float,
    store: str | None,
    keep_nothing: bool,
    no_learned: bool,
    light: bool,
    large: bool,
    pack: Packs,
) -> None:
    """Show the screens in a web page, for a phone or tablet at the bench.

    Prints a link; the button behind it lets one device in, and then there is a new link. Each page
    has a program of its own; all use the same store. The page loads nothing from the internet.

    Who is let in can see, add to and change what the store holds. No file of this computer can be
    opened or written from the page: files come from the device and are saved on it. Without
    --certificate, or a proxy that adds TLS, the line is not encrypted, so keep to networks you
    trust. Ctrl-C stops everything.
    """
    from diagnose.records.store.place import find_place
    from rules import extras

    or_exit(lambda: extras.require("serve"))
    from tui.web.addresses import PLAIN_WARNING, goes_beyond, listen
    from tui.web.door import MOST, Room
    from tui.web.gate import Gate
    from tui.web.programs import Limits
    from tui.web.server import PageServer

    if public_url is not None and not _is_origin(public_url):
        raise click.BadParameter(
            "write it as https://bench.example, without anything after the name",
            param_hint="--public-url",
        )
    tls = or_exit(lambda: _tls(certificate, key))
    if tls and certificate and not _is_in_its_time(tls, certificate):
        click.echo(
            f"{certificate} is out of its time by this computer's clock: browsers will warn of "
            "the page, or not show it.\n"
        )
    # a guest would be told what is wrong with them, and could do nothing about it
    if not keep_nothing:
        or_exit(lambda: find_place(store, os.environ))
    load_rules(pack)
    listener = or_exit(lambda: listen(host, port))
    name = f"[{host}]" if ":" in host else host
    scheme = "https" if tls else "http"
    url = public_url or f"{scheme}://{name}:{listener.getsockname()[1]}"
    if goes_beyond(url):
        click.echo(f"{PLAIN_WARNING} `--certificate` and `--key` encrypt it.\n")
    options = ["--unicode"]
    options += [f"--pack={folder.absolute()}" for folder in pack]
    options += [f"--store={store}"] if store else []
    flags = {"keep-nothing": keep_nothing, "no-learned": no_learned, "light": light, "large": large}
    options += [f"--{name}" for name, given in flags.items() if given]
    # -P: a folder named as one of the packages must not stand in for it
    program = [
        sys.executable,
        "-P",
        "-c",
        "from tui.cli.main import run; run()",
        "screen",
        *options,
    ]
    # behind a proxy, everybody comes from its one address
    room = Room(each=MOST) if public_url else Room()
    limits, gate = Limits(programs, idle * 60), Gate(url, _show_link)
    PageServer(program, gate, limits, room=room, tls=tls, say=click.echo).serve_on(listener)
    click.echo("Stopped; no program is left running.")


def _is_origin(url: str) -> bool:
    parts = urlsplit(url)
    named = bool(parts.hostname) and not any(sign.isspace() for sign in url)
    return parts.scheme in ("http", "https") and named and parts.path in ("", "/")


def _tls(certificate: Path | None, key: Path | None) -> ssl.SSLContext | None:
    """What encrypts the line; None without a certificate. Raises `BadInput`."""
    from rules.problems import BadInput

    if certificate is None and key is None:
        return None
    if certificate is None or key is None:
        raise BadInput("--certificate and --key go together")
    import ssl

    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    try:
        context.load_cert_chain(certificate, key, password="")  # it must not ask for one
    except ssl.SSLError as error:
        if error.reason == "KEY_VALUES_MISMATCH":
            raise BadInput(f"{key} is not the key of {certificate}") from error
        raise BadInput(
            f"{certificate} and {key} are no certificate with its key in PEM form, or the key has "
            "a passphrase"
        ) from error
    except OSError as error:
        raise BadInput(
            f"the certificate {certificate} or its key {key} cannot be read: {error.strerror}"
        ) from error
    return context


def _is_in_its_time(tls: ssl.SSLContext, certificate: Path) -> bool:
    """Whether `certificate` holds today, as a caller who trusts it and nothing else finds."""
    import ssl

    caller = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    caller.check_hostname = False
    caller.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN  # whoever signed it
    caller.load_verify_locations(certificate)
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = tls.wrap_bio(there, back, server_side=True)
    client = caller.wrap_bio(back, there)
    for side in (client, server, client):  # it comes with what the server says first
        try:
            side.do_handshake()
        except ssl.SSLWantReadError:
            continue
        except ssl.SSLCertVerificationError as error:
            return error.verify_code not in _OUT_OF_ITS_TIME
    return True


def _show_link(link: str) -> None:
    from tui.web.addresses import is_local

    click.echo(f"Open this in a browser; it lets one device in, once:\n\n  {link}\n")
    if not is_local(urlsplit(link).hostname or "") and sys.stdout.isatty():
        import segno

        segno.make(link, error="l").terminal(compact=True)
    click.echo("Ctrl-C stops.")
