"""`serve`: the screens in a web page, for a phone or tablet at the bench."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import click

from tui.cli.common import Packs, or_exit, pack_option
from tui.cli.person_path import PersonPath
from tui.cli.program.screen import screen_options

if TYPE_CHECKING:
    import ssl

_file = PersonPath(dir_okay=False)


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
    return parts.scheme in ("http", "https") and bool(parts.hostname) and parts.path in ("", "/")


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
    except OSError as error:  # an SSLError is one too
        reason = error.strerror or str(error)
        raise BadInput(
            f"{certificate} and {key} are no certificate with its key in PEM form: {reason}"
        ) from error
    return context


def _show_link(link: str) -> None:
    from tui.web.addresses import is_local

    click.echo(f"Open this in a browser; it lets one device in, once:\n\n  {link}\n")
    if not is_local(urlsplit(link).hostname or "") and sys.stdout.isatty():
        import segno

        segno.make(link, error="l").terminal(compact=True)
    click.echo("Ctrl-C stops.")
