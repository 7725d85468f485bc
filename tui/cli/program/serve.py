"""`serve`: the screens in a web page, for a phone or tablet at the bench."""

from __future__ import annotations

import sys
from urllib.parse import urlsplit

import click

from tui.cli.common import Packs, or_exit, pack_option
from tui.cli.program.screen import screen_options


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

    Prints a link that lets one device in, and a new one whenever it has been used. Each page has a
    program of its own; all use the same store. The page loads nothing from the internet.

    Who is let in can do all that you can do with the program, so keep to networks you trust: what
    goes over the line is not encrypted unless a proxy adds that. Ctrl-C stops everything.
    """
    from rules import extras

    or_exit(lambda: extras.require("serve"))
    from tui.web.gate import Gate
    from tui.web.programs import Limits
    from tui.web.server import PageServer, listen

    if host in ("0.0.0.0", "::", ""):  # noqa: S104  # refused, not bound
        raise click.BadParameter(
            "give the one address that your devices reach, as `ip addr` or the network settings "
            "show it; a page is only served under the address in its link",
            param_hint="--host",
        )
    if public_url is not None and not _is_origin(public_url):
        raise click.BadParameter(
            "write it as https://bench.example, without anything after the name",
            param_hint="--public-url",
        )
    listener = or_exit(lambda: listen(host, port))
    name = f"[{host}]" if ":" in host else host
    url = public_url or f"http://{name}:{listener.getsockname()[1]}"
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
    server = PageServer(program, Gate(url, _show_link), Limits(programs, idle * 60))
    server.serve_on(listener)
    click.echo("Stopped; no program is left running.")


def _is_origin(url: str) -> bool:
    parts = urlsplit(url)
    return parts.scheme in ("http", "https") and bool(parts.hostname) and parts.path in ("", "/")


def _show_link(link: str) -> None:
    from tui.web.gate import is_local

    click.echo(f"Open this in a browser; it lets one device in, once:\n\n  {link}\n")
    if not is_local(urlsplit(link).hostname or "") and sys.stdout.isatty():
        import segno

        segno.make(link, error="l").terminal(compact=True)
    click.echo("Ctrl-C stops.")
