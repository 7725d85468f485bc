"""The drawings of a pack: what is let in, and what is said of the rest."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rules.loading.drawings import BadDrawing, check_drawing, read_drawing
from rules.loading.loader import load_packs
from rules.problems import FileProblems
from rules.review.entry_review import entry_doubts
from rules.rulebase import RuleBase
from tests.places import MOWER

HEAD = (
    'pack: {id: shop, title: Shop, version: "1", format: 1, about: Invented., builds_on: mower}\n'
)
SOURCE = "sources: {s: {kind: memory, title: invented}}\n"
WORDS = "A plug seen from its side with its gap marked."
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">{}</svg>'
LINE = '<line x1="0" y1="0" x2="9" y2="9"/>'


@pytest.fixture
def shop(tmp_path: Path) -> Callable[..., Path]:
    """A folder of a pack on the mower's, with one picture and its file."""

    def make(svg: str = SVG.format(LINE), *, words: str = WORDS, more: str = "") -> Path:
        folder = tmp_path / "shop"
        folder.mkdir(exist_ok=True)
        picture = f"pictures: {{plug: {{file: plug.svg, title: Plug, description: {words}, source: s}}}}\n"
        (folder / "pack.yaml").write_text(HEAD + SOURCE + picture + more, encoding="utf-8")
        (folder / "plug.svg").write_text(svg, encoding="utf-8")
        return folder

    return make


def refused(folder: Path) -> str:
    with pytest.raises(FileProblems) as caught:
        load_packs((MOWER, folder))
    return str(caught.value)


def test_a_shops_own_pack_gives_a_step_of_the_one_below_a_drawing(
    shop: Callable[..., Path], mower: RuleBase
) -> None:
    step = next(iter(mower.observations))
    more = f"changes: {{observations: {{{step}: {{set: {{picture: plug}}, reason: ours, source: s}}}}}}\n"
    drawn = '<?xml version="1.0"?>\n<!--> a > b -->\n' + SVG.format(f"<!-- here -->{LINE}")
    rules = load_packs((MOWER, shop(drawn, more=more)))
    assert rules.observations[step].picture == "plug"
    assert rules.drawings == {"plug": SVG.format(LINE)}


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("<script>1</script>", "line 1: <script> cannot be used"),
        (f'{LINE}<image href="http://example.org/x.png"/>', "<image> cannot be used"),
        ('<use href="#x"/>', "<use> cannot be used"),
        ("<style>*{fill:red}</style>", "<style> cannot be used"),
        ("<foreignObject/>", "<foreignObject> cannot be used"),
        ('<p xmlns="http://www.w3.org/1999/xhtml"/>', "<p> cannot be used"),
        ('<line onload="x()"/>', "onload cannot be used; a drawing runs and loads nothing"),
        ('<line fill="url(http://example.org)"/>', "fill cannot be used"),
        ('<line style="fill:red"/>', "write `fill`, `stroke` and the like as attributes"),
        (
            '<g xmlns:x="http://www.w3.org/1999/xlink"><line x:href="#a"/></g>',
            "href cannot be used",
        ),
        ("<line>", "line 1: not well-formed XML: mismatched tag"),
        (f"{LINE}<text><![CDATA[<script>]]></text>", "CDATA cannot be used"),
        (f"{LINE}<?php ?>", "a processing instruction cannot be used"),
        ("<text>words alone</text>", "nothing is drawn in it"),
    ],
)
def test_what_does_more_than_draw_is_refused(inside: str, said: str) -> None:
    with pytest.raises(BadDrawing) as caught:
        check_drawing(SVG.format(inside))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no element found"),
        ("<html/>", "not an SVG file; it begins with <svg xmlns="),
        ("<svg/>", "not an SVG file"),
        ('<!DOCTYPE svg [<!ENTITY a "b">]>' + SVG.format(LINE), "a document type cannot be used"),
        ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9">' + LINE + "</svg>", "viewBox"),
    ],
)
def test_what_is_no_drawing_is_refused(text: str, said: str) -> None:
    with pytest.raises(BadDrawing, match=said):
        check_drawing(text)


def test_a_file_that_is_missing_or_elsewhere_or_too_large_is_named_with_its_place(
    shop: Callable[..., Path], tmp_path: Path
) -> None:
    folder = shop()
    (folder / "plug.svg").unlink()
    text = refused(folder)
    assert text.startswith("shop/pack.yaml:3:")
    assert "error[drawing] at pictures.plug.file: plug.svg: there is no such file" in text
    (tmp_path / "out.svg").write_text(SVG.format(LINE), encoding="utf-8")
    (folder / "plug.svg").symlink_to(tmp_path / "out.svg")
    assert "leads out of the folder of the pack" in refused(folder)
    for name, said in (
        ("../out.svg", "leads out"),
        ("a\0b", "cannot be read"),
        (".", "no such file"),
    ):
        with pytest.raises(BadDrawing, match=said):
            read_drawing(folder, name)
    (folder / "big.svg").write_text(SVG.format(LINE * 4000), encoding="utf-8")
    with pytest.raises(BadDrawing, match="over 100 kB"):
        read_drawing(folder, "big.svg")
    (folder / "odd.svg").write_bytes(b"\xff\xfe")
    with pytest.raises(BadDrawing, match="not UTF-8"):
        read_drawing(folder, "odd.svg")


def test_a_picture_says_in_words_what_it_shows(shop: Callable[..., Path]) -> None:
    assert "pictures.plug.description" in refused(shop(words="''"))
    assert "pictures.plug.description" in refused(shop(words="x" * 361))
    folder = shop()
    pack = folder / "pack.yaml"
    text = pack.read_text(encoding="utf-8").replace(f", description: {WORDS}", "")
    pack.write_text(text.replace(WORDS, ""), encoding="utf-8")
    assert "pictures.plug.description: this key is required" in refused(folder)


def test_a_picture_that_nothing_shows_is_doubtful(shop: Callable[..., Path]) -> None:
    doubts = [d for d in entry_doubts(load_packs((MOWER, shop()))) if "pictures" in str(d)]
    assert [d.code for d in doubts] == ["unused"]


def test_a_picture_that_is_not_there_cannot_be_named(
    shop: Callable[..., Path], mower: RuleBase
) -> None:
    step = next(iter(mower.corrections))
    more = f"changes: {{corrections: {{{step}: {{set: {{picture: plugg}}, reason: ours, source: s}}}}}}\n"
    assert "'plugg' is not defined; did you mean 'plug'?" in refused(shop(more=more))
