"""A card as a PDF on A4, with fonts that know more than Western letters."""

from __future__ import annotations

import io
import tempfile
from datetime import datetime
from pathlib import Path

from fpdf import FPDF, FontFace
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont
from pymupdf_fonts import fontbuffers

from diagnose.cards.blocks import Card, Chart, Section
from diagnose.cards.chart_drawing import (
    TEXT,
    WIDTH,
    Box,
    Dot,
    Ink,
    Shape,
    Words,
    picture_of,
)

_FAMILY = "card"
_FONTS = {"": "figo", "B": "figbo"}  # Latin, Greek, Cyrillic and more; SIL Open Font Licence
_MARGIN_MM = 15
_TEXT_PT = 9
_LINE_MM = 4.2
_DRAWING_MM = 70
_RED = (150, 0, 0)
_WHITE = (255, 255, 255)
_THIN_MM = 0.2
_INKS: dict[Ink, tuple[int, int, int]] = {
    "strong": (0, 110, 70),
    "plain": (119, 119, 119),
    "pale": (204, 204, 204),
    "good": (0, 110, 70),
}
# letters that the narrowest and the widest column of a table are laid out for
_FEWEST, _MOST = 20, 60


def pdf_card(card: Card, made_at: datetime) -> bytes:
    """The card as PDF bytes; the same card and moment give the same bytes.

    Letters that the font does not have are shown as `?`.
    """
    with tempfile.TemporaryDirectory() as folder:
        page = _Page(orientation="portrait", format="A4")
        page.set_creation_date(made_at)
        page.set_title(card.title)
        page.set_lang("en")
        page.set_margin(_MARGIN_MM)
        page.set_auto_page_break(True, _MARGIN_MM)
        for style, name in _FONTS.items():
            path = Path(folder) / f"{name}.ttf"
            path.write_bytes(fontbuffers[name]())
            page.add_font(_FAMILY, style, str(path))
        page.add_page()
        page.write_card(card)
        return bytes(page.output())


class _Page(FPDF):
    """A page that knows how a card is laid out."""

    def footer(self) -> None:
        """Write the page number; the library calls it for every page."""
        self.set_y(-10)
        self.set_font(_FAMILY, size=8)
        self.cell(0, 4, f"{self.page_no()} of {{nb}}", align="C")

    def write_card(self, card: Card) -> None:
        """Write title, facts, sections and foot of a card onto this document."""
        self._line(card.title, 15, bold=True)
        for label, value in card.facts:
            self._line(f"{label}: {value}")
        for section in card.sections:
            self._section(section)
        self.ln(2)
        self._line(card.foot, 8)

    def _section(self, section: Section) -> None:
        self.ln(1.8)
        if self.will_page_break(4 * _LINE_MM):
            self.add_page()
        if section.warning:
            self.set_text_color(*_RED)
        self._line(section.heading, 11, bold=True)
        self.set_text_color(0)
        for sentence in section.sentences:
            self._line(sentence)
        if section.chart is not None:
            self._chart(section.chart)
            return
        for item in section.items:
            mark = "Caution:" if section.warning else "\N{BULLET}"
            self._line(f"{mark} {item}", indent=3)
        if section.table:
            self._table(section)
        for one in section.drawings:
            svg = io.BytesIO(one.svg.encode())
            self.image(svg, w=_DRAWING_MM, title=one.title, alt_text=one.description)

    def _chart(self, chart: Chart) -> None:
        """Draw a chart over the whole width; it is never parted between pages."""
        picture = picture_of(chart)
        scale = self.epw / WIDTH
        if self.will_page_break(picture.height * scale):
            self.add_page()
        left, top = self.l_margin, self.get_y()
        with self.local_context():
            for shape in picture.shapes:
                self._shape(shape, left + shape.x * scale, top + shape.y * scale, scale)
        self.set_y(top + picture.height * scale)

    def _shape(self, shape: Shape, x: float, y: float, scale: float) -> None:
        if isinstance(shape, Words):
            self.set_font(_FAMILY, "B" if shape.bold else "", TEXT * scale * self.k)
            text = self.known(shape.text)
            shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.at]
            self.text(x - shift * self.get_string_width(text), y, text)
            return
        ink = _INKS[shape.ink]
        self.set_draw_color(*ink)
        self.set_fill_color(*ink)
        if isinstance(shape, Box):
            self.rect(x, y, shape.width * scale, shape.height * scale, style="F")
        elif isinstance(shape, Dot):
            self.set_line_width(2 * scale)
            self.set_fill_color(*(ink if shape.filled else _WHITE))
            self.circle(x, y, shape.radius * scale, style="DF")
        else:
            self.set_line_width(3 * scale if shape.ink == "strong" else _THIN_MM)
            if shape.dashed:
                self.set_dash_pattern(dash=1, gap=1)
            self.line(x, y, x + (shape.to_x - shape.x) * scale, y + (shape.to_y - shape.y) * scale)
            self.set_dash_pattern()

    def known(self, text: str) -> str:
        """`text` with `?` for letters the font does not have."""
        font = self.fonts[_FAMILY]
        assert isinstance(font, TTFFont)
        return "".join(c if ord(c) in font.cmap else "?" for c in text)

    def _line(
        self, text: str, size: float = _TEXT_PT, *, bold: bool = False, indent: int = 0
    ) -> None:
        self.set_font(_FAMILY, "B" if bold else "", size)
        height = _LINE_MM * max(size / _TEXT_PT, 0.85)
        self.set_x(self.l_margin + indent)
        self.multi_cell(0, height, self.known(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def _table(self, section: Section) -> None:
        self.set_font(_FAMILY, "", _TEXT_PT - 1)
        heading = FontFace(emphasis="BOLD")
        columns = zip(section.head, *section.table, strict=True)
        widths = tuple(_share(max(map(len, column))) for column in columns)
        with self.table(
            line_height=_LINE_MM, text_align="LEFT", col_widths=widths, headings_style=heading
        ) as rows:
            for cells in (section.head, *section.table):
                row = rows.row()
                for cell in cells:
                    row.cell(self.known(cell))


def _share(longest: int) -> int:
    """How much of the page a column takes, by the letters of its longest cell."""
    return min(max(longest, _FEWEST), _MOST)
