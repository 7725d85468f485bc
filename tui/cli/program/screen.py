"""`screen` opens the app; `picture` draws its card for the README."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, or_exit, pack_option, refuse
from tui.cli.person_path import PersonPath
from tui.cli.storing import no_learned_option, store_option, with_options

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessor
    from diagnose.records.store.store import Store
    from tui.app.app import BadRideApp


screen_options = with_options(
    store_option,
    click.option("--keep-nothing", is_flag=True, help="Use no store: all is gone at the end."),
    no_learned_option,
    click.option("--light/--dark", default=False, help="Light or dark colours."),
    click.option(
        "--large/--compact", default=False, help="Large targets, for a tablet or gloves, or not."
    ),
)


@click.command()
@pack_option
@screen_options
@click.option(
    "--ascii/--unicode",
    "ascii_only",
    default=None,
    help="Signs to draw with; by locale if not given.",
)
def screen(
    pack: Packs,
    store: str | None,
    keep_nothing: bool,
    no_learned: bool,
    light: bool,
    large: bool,
    ascii_only: bool | None,
) -> None:
    """Open the bench card (also what `badride` alone does).

    Bikes and cases are kept in the store, each answer before the next question is shown.
    """
    or_exit(require_terminal)
    gc.disable()
    set_for_good = click.get_current_context().find_root().obj
    app = make_app(
        pack,
        open_store=None if keep_nothing else or_exit(lambda: _opener(store)),
        learning=not no_learned,
        light=light,
        large=large,
        ascii_only=ascii_only,
        decimal_comma=bool(set_for_good and set_for_good.decimal_comma),
        keep_setting=_keep_setting,
        loaded=_leave_out_of_collecting,
    )
    app.run()
    if app.return_code:
        sys.exit(app.return_code)


def _leave_out_of_collecting() -> None:
    """What was loaded stays to the end: going through it anew would hold up every few keys."""
    gc.freeze()
    gc.set_threshold(2_000, 5, 50)
    gc.enable()


def _keep_setting(name: str, value: str) -> None:
    from tui.cli.settings import keep_setting, settings_path

    if not is_served():  # one phone's colours are not everybody's
        keep_setting(settings_path(os.environ), name, value)


def is_served() -> bool:
    """Whether the screens show on a page."""
    return "TEXTUAL_DRIVER" in os.environ


def require_terminal() -> None:
    """Raises `BadInput` where the screens could neither be seen nor left."""
    from rules.problems import BadInput

    if is_served():  # a page is its terminal
        return
    if os.environ.get("TERM") == "dumb" or not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise BadInput(
            "the screens need a terminal that can draw; `badride ask` is the same interview "
            "line by line, and `badride case FILE` works without one"
        )


@click.command()
@click.argument("file", type=PersonPath(dir_okay=False))
@pack_option
@click.option("--light", is_flag=True, help="Light colours.")
@click.option("--width", type=click.IntRange(20, 400), default=132, show_default=True)
@click.option("--height", type=click.IntRange(5, 200), default=36, show_default=True)
@click.option(
    "--keys",
    default="enter enter 1 1 enter a enter",
    show_default=True,
    help="Keys pressed before the picture is taken, with spaces between.",
)
def picture(file: Path, pack: Packs, light: bool, width: int, height: int, keys: str) -> None:
    """Draw the bench card as an SVG picture, as in the README."""
    import asyncio

    app = make_app(pack, light=light, ascii_only=False)

    async def draw() -> str:
        async with app.run_test(size=(width, height), notifications=True) as pilot:
            await app.settled()
            for key in keys.split():
                await pilot.press(key)
                await app.settled()
            await app.at_rest()
            await pilot.pause()
            return app.export_screenshot(title="badride")

    try:
        file.write_text(asyncio.run(draw()), encoding="utf-8")
    except OSError as error:
        refuse(f"{file} could not be written: {error.strerror}")


def _opener(where: str | None) -> Callable[[], Store]:
    """What opens the store asked for, making it where there is none. Raises `BadInput`."""
    from diagnose.records.store.place import find_place

    place = find_place(where, os.environ)
    if is_served():  # a guest is not to know this computer's folders and servers
        place = replace(place, alias="The store")

    def open_it() -> Store:
        from diagnose.records.store.opening import open_store
        from tui.terminal.clock import now

        return open_store(place, now, create=True)

    return open_it


def make_app(
    pack: Packs,
    *,
    open_store: Callable[[], Store] | None = None,
    learning: bool = True,
    light: bool = False,
    large: bool = False,
    ascii_only: bool | None = None,
    decimal_comma: bool = False,
    keep_setting: Callable[[str, str], None] = lambda name, value: None,
    loaded: Callable[[], None] = lambda: None,
) -> BadRideApp:
    """The app for a rule base; loading it is left to the app, so that it paints first; `loaded` is
    called when that is done.

    Without `open_store` nothing outlives the program.
    """
    from rules.loading.pack_files import OFFROAD, WORKED_CASES
    from tui.app.app import BadRideApp
    from tui.terminal.glyphs import knows_unicode

    def open_assessor() -> Assessor:
        from diagnose.advice.assessor import Assessor
        from rules.loading.loader import load_packs

        try:
            return Assessor(load_packs(pack))
        finally:
            loaded()

    examples = [folder / WORKED_CASES for folder in (*reversed(pack), OFFROAD)]
    return BadRideApp(
        open_assessor,
        open_store=open_store,
        learning=learning,
        packs=pack,
        examples=next(e for e in examples if e.is_dir()),
        ascii_only=not knows_unicode(os.environ) if ascii_only is None else ascii_only,
        light=light,
        large=large,
        decimal_comma=decimal_comma,
        keep_setting=keep_setting,
    )
