"""`rules handbook`: the rule base as something to read and print."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, open_assessor, or_exit, pack_option
from tui.cli.person_path import PersonPath

if TYPE_CHECKING:
    from diagnose.authoring.handbook.parts import Handbook

_PAGES = (".html", ".htm")
_MARKDOWN = (".md", ".markdown")


@click.command()
@click.argument("out", type=PersonPath())
@pack_option
def handbook(out: Path, pack: Packs) -> None:
    """Write the handbook of the rule base to OUT: an .html or .md file, or a folder for both.

    HTML is one page that loads nothing. Markdown has its pictures as .svg files beside it.
    """
    from diagnose.authoring.handbook.building import build_handbook
    from diagnose.authoring.trials.trial import own_cases, rank
    from diagnose.records.file_writing import write_text
    from rules.problems import BadInput

    def checked() -> None:
        if out.suffix.lower() in (*_PAGES, *_MARKDOWN):
            return
        if out.suffix and not out.is_dir():
            raise BadInput(f"{out}: end the name in .html or .md, or give a folder")
        try:
            out.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(f"{out}: {error.strerror or error}") from error

    or_exit(checked)
    assessor = open_assessor(pack)
    paths, _ = own_cases(pack, assessor.rules)
    made = or_exit(lambda: build_handbook(assessor, rank(pack, paths)))
    for path, text in _files(out, made):
        or_exit(lambda path=path, text=text: write_text(path, text))  # type: ignore[misc]
        click.echo(f"{path} is written.")


def _files(out: Path, made: Handbook) -> Iterator[tuple[Path, str]]:
    from diagnose.authoring.handbook.pages import (
        drawings,
        html_page,
        markdown_page,
        matrix_picture,
        plot_picture,
    )

    kind = out.suffix.lower()
    whole = kind not in (*_PAGES, *_MARKDOWN)
    if whole or kind in _PAGES:
        yield (out / "handbook.html" if whole else out), html_page(made)
    if whole or kind in _MARKDOWN:
        page = out / "handbook.md" if whole else out
        picture = page.with_name(f"{page.stem}-matrix.svg")
        yield picture, matrix_picture(made)
        plot = page.with_name(f"{page.stem}-chances.svg")
        if text := plot_picture(made):
            yield plot, text
        for name, text in drawings(made, page.stem).items():
            yield page.with_name(name), text
        yield page, markdown_page(made, picture.name, plot.name, page.stem)
