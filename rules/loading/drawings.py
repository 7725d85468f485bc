"""The drawings of a pack: SVG files that draw and do nothing else, read where `pictures` name them.

A pack may come from anyone, and its drawings are set into pages as they are, so only shapes and
text are let in: nothing that runs, loads, links or points out of the file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from xml.parsers.expat import ExpatError, ParserCreate, errors

from rules.loading.pack_draft import PackDraft
from rules.problems import BadInput

MOST_BYTES = 100_000
_SVG = "http://www.w3.org/2000/svg"
_SHAPES = frozenset({"line", "polyline", "polygon", "circle", "ellipse", "rect", "path"})
_COMMENT = re.compile(r"\s*<!--.*?-->", re.DOTALL)
_ALLOWED = _SHAPES | {"svg", "g", "title", "desc", "text"}


class BadDrawing(BadInput):
    """A file that is not a drawing, or does more than draw."""


def read_drawings(draft: PackDraft, folders: Mapping[str, Path]) -> dict[str, str]:
    """The SVG text of every picture by its id; a problem is noted for each that cannot be used.

    `folders` has the folder of each pack by its id: a file is looked for in the folder of the pack
    that names it.
    """
    found: dict[str, str] = {}
    for key, picture in draft.tables["pictures"].items():
        home = folders[draft.written["pictures", key].origin(("file",)).pack]
        try:
            found[key] = read_drawing(home, picture.file)
        except BadDrawing as error:
            draft.complain("pictures", key, ("file",), f"{picture.file}: {error}", "drawing")
    return found


def read_drawing(home: Path, name: str) -> str:
    """The text of the drawing `name` in the folder `home`, from its `<svg` on, without comments.

    Raises `BadDrawing` for a file that is missing, lies elsewhere, or is no drawing.
    """
    try:
        path = (home / name).resolve()
        if not path.is_relative_to(home.resolve()):
            raise BadDrawing("this leads out of the folder of the pack; put the file inside it")
        if not path.is_file():
            raise BadDrawing("there is no such file in the folder of the pack")
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except (OSError, RuntimeError, ValueError) as error:
        if isinstance(error, BadDrawing):
            raise
        raise BadDrawing(f"cannot be read: {getattr(error, 'strerror', None) or error}") from error
    if len(raw) > MOST_BYTES:
        raise BadDrawing(f"over {MOST_BYTES // 1000} kB; draw it with fewer parts")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadDrawing("not UTF-8 text") from error
    check_drawing(text)
    # HTML ends some comments earlier than XML does
    bare = _COMMENT.sub("", text)
    return bare[bare.index("<svg") :].strip()


def check_drawing(text: str) -> None:
    """Raises `BadDrawing`, with the line, unless `text` is SVG that only draws."""
    parser = ParserCreate(namespace_separator=" ")
    seen: list[str] = []

    def refuse(what: str) -> None:
        raise BadDrawing(f"line {parser.CurrentLineNumber}: {what}")

    def start(name: str, attributes: Mapping[str, str]) -> None:
        space, _, tag = name.rpartition(" ")
        if not seen and (space, tag) != (_SVG, "svg"):
            refuse(f'not an SVG file; it begins with <svg xmlns="{_SVG}">')
        if space != _SVG or tag not in _ALLOWED or (seen and tag == "svg"):
            refuse(f"<{tag}> cannot be used; a drawing is made of {', '.join(sorted(_ALLOWED))}")
        if not seen and not _is_view_box(attributes.get("viewBox", "")):
            refuse("<svg> needs a viewBox of four numbers, with a width and height above nought")
        for key, value in attributes.items():
            if " " in key or key == "href" or key.lower().startswith("on") or "url(" in value:
                refuse(f"{key.rpartition(' ')[2]} cannot be used; a drawing runs and loads nothing")
            if key == "style":
                refuse("write `fill`, `stroke` and the like as attributes in place of style")
        seen.append(tag)

    def no_declaration(*_: Any) -> None:
        refuse("a document type cannot be used")

    def no_instruction(*_: Any) -> None:
        refuse("a processing instruction cannot be used")

    def no_raw_text() -> None:
        refuse("CDATA cannot be used")

    parser.StartElementHandler = start
    parser.StartDoctypeDeclHandler = no_declaration
    parser.ProcessingInstructionHandler = no_instruction
    parser.StartCdataSectionHandler = no_raw_text
    try:
        parser.Parse(text, True)
    except ExpatError as error:
        message = errors.messages[error.code]
        raise BadDrawing(f"line {error.lineno}: not well-formed XML: {message}") from error
    if not _SHAPES.intersection(seen):
        raise BadDrawing("nothing is drawn in it")


def _is_view_box(text: str) -> bool:
    try:
        box = [float(number) for number in text.replace(",", " ").split()]
    except ValueError:
        return False
    return len(box) == 4 and min(box[2:]) > 0
