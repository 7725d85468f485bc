"""`screen` opens the app; `picture` draws its card for the README."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.common import BAD_INPUT, at_once_option, pack_option

if TYPE_CHECKING:
    from tui.app import BadRideApp


@click.command()
@pack_option
@at_once_option
@click.option("--light", is_flag=True, help="Light colours.")
@click.option("--large", is_flag=True, help="Large targets, for a tablet or gloves.")
@click.option(
    "--ascii/--unicode",
    "ascii_only",
    default=None,
    help="Signs to draw with; by locale if not given.",
)
def screen(
    pack: Path | None, causes_at_once: int, light: bool, large: bool, ascii_only: bool | None
) -> None:
    """Open the bench card (also what `badride` alone does)."""
    app = make_app(pack, causes_at_once, light=light, large=large, ascii_only=ascii_only)
    app.run()
    if app.return_code:
        sys.exit(app.return_code)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@pack_option
@click.option("--light", is_flag=True, help="Light colours.")
@click.option("--width", default=132, show_default=True)
@click.option("--height", default=36, show_default=True)
@click.option(
    "--keys",
    default="n 1 f enter a e enter y",
    show_default=True,
    help="Keys pressed before the picture is taken, with spaces between.",
)
def picture(file: Path, pack: Path | None, light: bool, width: int, height: int, keys: str) -> None:
    """Draw the bench card as an SVG picture, as in the README."""
    import asyncio

    app = make_app(pack, 2, light=light, ascii_only=False)

    async def draw() -> str:
        async with app.run_test(size=(width, height), notifications=True) as pilot:
            await app.settled()
            for key in keys.split():
                await pilot.press(key)
                await app.settled()
            await pilot.pause()
            return app.export_screenshot(title="badride")

    try:
        file.write_text(asyncio.run(draw()), encoding="utf-8")
    except OSError as error:
        click.echo(f"{file} could not be written: {error.strerror}", err=True)
        sys.exit(BAD_INPUT)


def make_app(
    pack: Path | None,
    causes_at_once: int,
    *,
    light: bool = False,
    large: bool = False,
    ascii_only: bool | None = None,
) -> BadRideApp:
    """The app for a rule base; loading it is left to the app, so that it paints first."""
    from rules.loader import OFFROAD
    from tui.app import BadRideApp
    from tui.glyphs import knows_unicode

    folder = pack or OFFROAD

    def open_workshop() -> Workshop:
        return Workshop(load_pack(folder), causes_at_once)

    from diagnose.interview import Workshop
    from rules.loader import load_pack

    return BadRideApp(
        open_workshop,
        examples=folder / "worked_cases",
        ascii_only=not knows_unicode(os.environ) if ascii_only is None else ascii_only,
        light=light,
        large=large,
    )
