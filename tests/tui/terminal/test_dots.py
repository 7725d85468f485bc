"""Drawings in dots: lines where they are drawn, covered where they are covered, labels readable."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from rules.rulebase import RuleBase
from tui.terminal.dots import DotCell, draw_in_dots

SMALL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 8" stroke="#222">{}</svg>'
TEXT = "{http://www.w3.org/2000/svg}text"
# what a screen of 80 by 24 has left beside title, words and footer
COLUMNS, ROWS = 78, 17


def lines(cells: list[list[DotCell]]) -> list[str]:
    return ["".join(cell.sign for cell in row) for row in cells]


def drawn(inside: str, columns: int = 10, rows: int = 2) -> list[str]:
    return lines(draw_in_dots(SMALL.format(inside), columns, rows))


def test_a_line_goes_through_the_dots_on_its_way() -> None:
    assert drawn('<line x1="0" y1="0" x2="19" y2="0"/>') == ["⠉" * 10, " " * 10]
    assert drawn('<line x1="0" y1="0" x2="0" y2="7"/>') == ["⡇" + " " * 9] * 2
    assert drawn('<path d="M0 0 H19"/>') == drawn('<polyline points="0,0 19,0"/>')


def test_what_is_filled_covers_what_was_drawn_before() -> None:
    line = '<line x1="0" y1="3" x2="19" y2="3"/>'
    cover = '<rect x="8" y="0" width="20" height="7" fill="{}" stroke="none"/>'
    assert drawn(line + cover.format("#fff"))[0] == "⣀" * 4 + " " * 6
    assert drawn(cover.format("#fff") + line)[0] == "⣀" * 10
    assert drawn(line + cover.format("#000"))[0] == "⣀" * 4 + "⣿" * 6


def test_fine_parts_are_left_out_and_a_group_moves_its_parts() -> None:
    assert drawn('<g class="fine"><line x1="0" y1="0" x2="19" y2="0"/></g>') == [" " * 10] * 2
    moved = '<g transform="translate(0 4)"><line x1="0" y1="0" x2="19" y2="0"/></g>'
    assert drawn(moved) == [" " * 10, "⠉" * 10]


def test_colours_are_three_tones() -> None:
    def tone(colour: str) -> str:
        line = f'<line x1="0" y1="0" x2="19" y2="0" stroke="{colour}"/>'
        return draw_in_dots(SMALL.format(line), 10, 2)[0][0].tone

    assert [tone(colour) for colour in ("#222", "#06c", "#c30")] == ["ink", "mark", "alarm"]


def test_labels_are_letters_at_their_places_and_give_way_to_one_another() -> None:
    label = '<text x="{}" y="4" font-size="4" text-anchor="{}">{}</text>'
    assert drawn(label.format(0, "start", "ab"))[0] == "ab" + " " * 8
    assert drawn(label.format(20, "end", "ab"))[0] == " " * 8 + "ab"
    assert drawn(label.format(10, "middle", "ab"))[0] == " " * 4 + "ab" + " " * 4
    both = label.format(0, "start", "ab") + label.format(2, "start", "cd")
    assert [row.split() for row in drawn(both)] == [["ab"], ["cd"]]


def test_every_picture_of_the_pack_has_all_its_labels_in_a_small_terminal(
    offroad: RuleBase,
) -> None:
    assert offroad.drawings.keys() == offroad.pictures.keys()
    for name, svg in offroad.drawings.items():
        cells = draw_in_dots(svg, COLUMNS, ROWS)
        rows = lines(cells)
        assert len(rows) <= ROWS
        assert all(len(row) <= COLUMNS for row in rows), name
        left = " \n ".join(rows)
        labels = [text.text or "" for text in ElementTree.fromstring(svg).iter(TEXT)]  # noqa: S314
        for label in sorted(labels, key=len, reverse=True):
            words = f" {' '.join(label.split())} "
            assert words in f" {left} ", (name, label)
            left = left.replace(words.strip(), " " * len(words), 1)
        assert sum("⠁" <= cell.sign <= "⣿" for row in cells for cell in row) > 100, name


@pytest.mark.parametrize("size", [(1, 1), (3, 2), (200, 60)])
def test_any_size_will_do(offroad: RuleBase, size: tuple[int, int]) -> None:
    svg = offroad.drawings["lever-line"]
    assert len(draw_in_dots(svg, *size)) <= size[1]
