"""The chart of a case: its figures in words and as a drawing, in every kind of file."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from diagnose.advice.assessor import Assessor
from diagnose.cards.blocks import Card, Chart, ChartedCause, ChartedFigure, Section
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.chart_drawing import WIDTH, Box, Dot, Words, picture_of
from diagnose.cards.content import customer_card, workshop_card
from diagnose.cards.markup import chart_svg, html_card, markdown_card
from diagnose.cards.pdf import pdf_card
from diagnose.cards.plain import plain_lines
from diagnose.case.events import Case, Complained, Corrected, Rode, read_answer

MakeFacts = Callable[..., CardFacts]
NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)


@pytest.fixture
def ridden(make_facts: MakeFacts, offroad_assessor: Assessor) -> CardFacts:
    """A pressure brought down, and a ride without the complaint; not closed yet."""
    rules = offroad_assessor.rules
    case = Case(
        events=(Complained("harsh", "front"), read_answer(rules, "front-tyre-gauge", "25 psi"))
    )
    after = read_answer(rules, "front-tyre-gauge", "13 psi")
    work = (Corrected("set-front-tyre-pressure"), after, Rode("gone"))
    return make_facts(offroad_assessor, case, *work, closed=False)


def chart_section(card: Card) -> Section:
    return next(section for section in card.sections if section.chart is not None)


def test_it_has_the_causes_over_the_case_what_was_found_and_set_and_the_proof(
    ridden: CardFacts,
) -> None:
    """What was set is no moment of its own; each share is what was believed at that moment."""
    section = chart_section(workshop_card(ridden))
    chart = section.chart
    assert chart is not None
    assert [text.partition(":")[0] for text in chart.moments] == [
        "Complaint", "Front tyre pressure, cold", "Done", "Ride",
    ]  # fmt: skip
    assert (set(chart.work), set(chart.rides)) == ({2}, {3})
    first = chart.causes[0]
    assert (first.title, first.put_right) == ("Front tyre pressure too high", True)
    model, case = ridden.assessment.model, ridden.case
    at = model.network.cause_index["front-tyre-pressure-high"]
    for share, many in zip(first.shares, (1, 2, 3, 5), strict=True):
        before = model.believe(Case(case.machine, case.targets, case.events[:many]))
        assert share == pytest.approx(float(before.marginal[at]))
    assert first.shares[0] < 0.5 < first.shares[1]
    assert section.items == (
        "Front tyre pressure, cold: found 25 psi → set 13 psi",
        "Harsh (front), on the last ride: gone",
    )
    assert section.table[0][1].startswith("█" * 19)


def test_the_customers_has_no_chances_and_no_case_is_charted_that_has_nothing_to_show(
    ridden: CardFacts, make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    section = chart_section(customer_card(ridden))
    assert section.chart is not None and section.chart.causes == () and section.table == ()
    assert "%" not in " ".join(section.items)
    begun = make_facts(
        mower_assessor, Case(events=(Complained("no-start"),)), closed=False, bike="B"
    )
    assert all(part.chart is None for part in customer_card(begun).sections)


def test_every_file_shows_it(ridden: CardFacts) -> None:
    """As bars in text, as a drawing in HTML with words for who cannot see it, drawn in PDF."""
    card = workshop_card(ridden)
    assert re.search(
        r"\| Front tyre pressure too high, put right \| █+ over 99 % \|", markdown_card(card)
    )
    assert any("found 25 psi → set 13 psi" in line for line in plain_lines(card))
    page = html_card(card)
    assert page.count("<svg") == 1 + sum(len(part.drawings) for part in card.sections)
    assert 'aria-label="Front tyre pressure too high, put right: ' in page
    assert "<td>█" not in page
    text = PdfReader(io.BytesIO(pdf_card(card, NOON))).pages[0].extract_text()
    assert "found 25 psi" in text and "on the last ride: gone" in text and "█" not in text


def test_what_people_write_cannot_break_the_drawing() -> None:
    nasty = "<script>alert('x')</script> & \"]]>"
    chart = Chart((nasty,), causes=(ChartedCause(nasty, (0.5,), False),), proof=((nasty, "gone"),))
    drawn = ElementTree.fromstring(str(chart_svg(chart)))  # noqa: S314  # what was just drawn
    assert {node.tag.rpartition("}")[2] for node in drawn} == {"text", "line", "rect", "circle"}


@pytest.mark.parametrize(
    "values", [(25.0, 13.0), (4.0, 12.0), (0.0, 0.0), (-3.0, 2.0), (13.0, 13.1)]
)
def test_figures_stand_on_one_scale_inside_the_drawing(values: tuple[float, float]) -> None:
    figure = ChartedFigure("Demo", f"{values[0]} psi", f"{values[1]} psi", values)
    shapes = picture_of(Chart(figures=(figure,))).shapes
    found, set_to = (shape for shape in shapes if isinstance(shape, Dot))
    assert (found.x < set_to.x) == (values[0] < values[1])
    assert all(0 <= shape.x <= WIDTH for shape in shapes)
    said = " ".join(shape.text for shape in shapes if isinstance(shape, Words))
    assert f"found {values[0]} psi" in said and f"set {values[1]} psi" in said


def test_bars_are_as_high_as_their_chances() -> None:
    chart = Chart(("a", "b", "c"), causes=(ChartedCause("Demo", (0.25, 0.5, 1.0), True),))
    one, two, three = (s.height for s in picture_of(chart).shapes if isinstance(s, Box))
    assert [two, three] == pytest.approx([2 * one, 4 * one])
