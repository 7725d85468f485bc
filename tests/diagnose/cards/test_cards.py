"""Job cards: what stands on them, and that nothing a person writes can break them."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from pypdf import PdfReader

from diagnose.advice.assessor import Assessor
from diagnose.cards.blocks import Card, Section, card_of, clean, drawings_of
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.content import customer_card, workshop_card
from diagnose.cards.markup import html_card, markdown_card
from diagnose.cards.pdf import pdf_card
from diagnose.cards.plain import plain_lines
from diagnose.cards.rendering import kind_of
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Noted,
    Rode,
    read_answer,
    read_target,
)
from diagnose.case.set_figures import opposite_of
from diagnose.records.cases.entries import Assumed, Details
from diagnose.records.cases.filling_in import DETAILS, WrongDetail, filled_in
from diagnose.records.cases.folding import Said
from rules.problems import BadInput
from rules.rulebase import RuleBase

MakeFacts = Callable[..., CardFacts]
NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
NASTY = (
    "<script>alert('x')</script> | *b* _i_ [l](javascript:x) `c` \\ & &lt; # ~s~ {{ 7*7 }} {% x %}"
)


@pytest.fixture
def proven(make_facts: MakeFacts, offroad_assessor: Assessor) -> CardFacts:
    rules = offroad_assessor.rules
    case = Case(
        events=(
            Complained("harsh", "front"),
            Noted(NASTY),
            read_answer(rules, "front-tyre-gauge", "25 psi"),
        )
    )
    return make_facts(
        offroad_assessor,
        case,
        Corrected("set-front-tyre-pressure"),
        Rode("gone"),
        read_answer(rules, "front-tyre-gauge", "13 psi"),
        cause="front-tyre-pressure-high",
    )


def text_of(card: Card) -> str:
    parts = [card.title, *(f"{a} {b}" for a, b in card.facts), card.foot]
    for section in card.sections:
        parts += [section.heading, *section.sentences, *section.items, *section.head]
        parts += [cell for row in section.table for cell in row]
    return "\n".join(parts)


def after_of(card: Card) -> str:
    return next(part for part in card.sections if part.heading == "Readings").table[0][3]


@pytest.mark.parametrize("as_worked", [True, False])
def test_a_reading_that_was_not_taken_again_is_told_in_words(
    make_facts: MakeFacts, offroad_assessor: Assessor, as_worked: bool
) -> None:
    case = Case(events=(Complained("harsh", "front"),))
    case = case.with_event(read_answer(offroad_assessor.rules, "front-tyre-gauge", "25 psi"))
    work = [Corrected("set-front-tyre-pressure")] if as_worked else []
    card = workshop_card(make_facts(offroad_assessor, case, *work, closed=False))
    assert after_of(card) == ("not measured again" if as_worked else "-")


def headings(card: Card) -> list[str]:
    return [section.heading for section in card.sections]


def test_the_workshop_card_says_what_a_repair_order_says(proven: CardFacts) -> None:
    card = workshop_card(proven)
    assert headings(card) == [
        "Complaint", "Cause", "The case as a picture", "Cautions", "Correction", "Readings", "Evidence", "Ride to test",
        "Next service", "The bike", "Sources",
    ]  # fmt: skip
    by_heading = {section.heading: section for section in card.sections}
    assert by_heading["Complaint"].sentences == ("Harsh (front).",)
    assert by_heading["Cause"].sentences[0] == "Front tyre pressure too high."
    assert by_heading["Readings"].table[0][2:] == ("25 psi", "13 psi")
    assert any("25 psi: far above" in item for item in by_heading["Evidence"].items)
    assert not any("13 psi: far above" in item for item in by_heading["Evidence"].items)
    assert (
        by_heading["Ride to test"].sentences[-1] == "Ridden since the work: The complaint was gone."
    )
    # the soonest due come first
    assert by_heading["Next service"].items[0].startswith(("Chain: 12 h, due", "Spokes: 12 h, due"))
    assert ("State", "proven by a ride without the complaint") in card.facts


def test_cautions_of_the_correction_stand_on_both_cards(
    proven: CardFacts, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    expected = {
        rules.cautions[name].text for name in rules.corrections["set-front-tyre-pressure"].cautions
    }
    assert expected
    for card in (workshop_card(proven), customer_card(proven)):
        warning = next(section for section in card.sections if section.warning)
        assert expected <= set(warning.items)


def test_the_customers_card_has_no_ids_and_no_numbers_of_odds(
    proven: CardFacts, offroad_assessor: Assessor
) -> None:
    text = text_of(customer_card(proven))
    assert "Front tyre pressure too high" in text
    assert not re.search(r"\d db\b|%", text.replace(NASTY, "").replace(clean(NASTY), ""))
    ids = [
        *offroad_assessor.rules.causes,
        *offroad_assessor.rules.corrections,
        *offroad_assessor.rules.observations,
    ]
    assert [name for name in ids if "-" in name and name in text] == []


def test_do_not_ride_stands_on_both_cards(make_facts: MakeFacts, mower_assessor: Assessor) -> None:
    case = Case(events=(Complained("vibration", "deck"), Answered("blade-wobble", "yes")))
    facts = make_facts(mower_assessor, case, closed=False)
    for card in (workshop_card(facts), customer_card(facts)):
        assert card.sections[0].sentences == ("DO NOT RIDE: The blade is loose.",)
        assert card.sections[0].warning
    assert "open, work goes on" in text_of(workshop_card(facts))


@pytest.mark.parametrize(
    ("since", "state"),
    [
        ((), "open, work goes on"),
        ((Corrected("fill-up"),), "work done; a ride is to prove it"),
        (
            (Corrected("fill-up"), Rode("gone")),
            "proven by a ride without the complaint; to be closed",
        ),
    ],
)
def test_a_card_of_an_open_case_says_how_far_it_has_come(
    make_facts: MakeFacts, mower_assessor: Assessor, since: tuple[Event, ...], state: str
) -> None:
    events = (Complained("no-start"), Answered("tank-look", "stale"), *since)
    facts = make_facts(mower_assessor, Case(events=events), closed=False)
    assert ("State", state) in workshop_card(facts).facts
    assert ("State", state) in customer_card(facts).facts


def test_an_open_case_names_suspects_and_what_is_next(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    facts = make_facts(offroad_assessor, Case(events=(Complained("harsh", "front"),)), closed=False)
    text = text_of(workshop_card(facts))
    assert "Not settled yet" in text
    assert "Next: " in text
    assert "We are still looking." in text_of(customer_card(facts))


def test_a_proven_correction_of_several_causes_names_them_all(
    make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    case = Case(events=(Complained("no-start"), Corrected("fill-up"), Rode("gone")))
    text = text_of(workshop_card(make_facts(mower_assessor, case)))
    assert "it puts right one of:\nOut of fuel\nStale fuel" in text


def test_what_a_ride_has_proved_stands_on_the_card_before_the_case_is_closed(
    make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    case = Case(
        events=(
            Complained("no-start"),
            Answered("tank-look", "stale"),
            Corrected("fill-up"),
            Rode("gone"),
        )
    )
    facts = make_facts(mower_assessor, case, closed=False)
    text = text_of(workshop_card(facts))
    assert "it puts right one of:\nStale fuel" in text
    assert "Not settled yet" not in text
    assert "For and against: Stale fuel" in text
    told = text_of(customer_card(facts))
    assert "it puts right one of:\nStale fuel" in told
    assert "We are still looking." not in told


def test_an_open_case_says_what_was_seen_and_what_comes_next(
    make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    """With the caution of the next step, and what is not done here."""
    seen = (Answered("tank-look", "fresh"), Declined("new-blade"))
    facts = make_facts(
        mower_assessor, Case(events=(Complained("vibration", "deck"), *seen)), closed=False
    )
    assert facts.assessment.step.target == "blade-wobble"
    by_heading = {section.heading: section for section in workshop_card(facts).sections}
    assert by_heading["Next step"].sentences[0] == "Does the blade wobble when turned by hand?"
    assert "Pull the plug lead off before you touch the blade." in by_heading["Cautions"].items
    assert by_heading["Asked and looked at"].items == ("Is there fresh fuel in the tank? Fresh",)
    assert "Not done here: Fit a new blade." in by_heading["Correction"].sentences


def test_work_on_what_was_found_on_the_way_stands_beside_what_helped(
    make_facts: MakeFacts, mower: RuleBase, mower_assessor: Assessor
) -> None:
    events = (
        Complained("no-start"), Answered("blade-wobble", "yes"), Corrected("new-blade"),
        Answered("blade-wobble", "no"), Answered("tank-look", "empty"), Corrected("fill-up"),
        Rode("gone"),
    )  # fmt: skip
    facts = make_facts(mower_assessor, Case(events=events), closed=False)
    assert [one.correction for one in facts.put_right] == ["new-blade", "fill-up"]
    for card in (workshop_card(facts), customer_card(facts)):
        text = text_of(card)
        assert "Fit a new blade: put right on the way." in text
        assert "Fill with fresh fuel: the ride after it: gone." in text


def test_where_nothing_was_changed_the_customer_reads_what_was_looked_at(
    make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    case = Case(events=(Complained("no-start"), Answered("tank-look", "fresh")))
    card = customer_card(make_facts(mower_assessor, case, closed=False))
    did = next(one for one in card.sections if one.heading == "What we did")
    assert did.sentences == ("Nothing was changed. Looked at:",)
    assert did.items == ("Is there fresh fuel in the tank?",)


def test_what_was_taken_from_the_record_is_said(
    make_facts: MakeFacts, mower_assessor: Assessor
) -> None:
    facts = make_facts(mower_assessor, Case(events=(Complained("no-start"),)), closed=False)
    rests_on = Assumed(rests_on="setting of 2026-04-25", on="2026-04-25")
    said = Said(Answered("tank-look", "stale"), NOON, rests_on)
    kept = facts.kept
    case = kept.case.with_event(said.event)
    folded = replace(kept.folded, case=case, said=(*kept.folded.said, said))
    card = workshop_card(replace(facts, kept=replace(kept, folded=folded)))
    section = next(s for s in card.sections if s.heading == "From the record, not asked")
    assert section.items == (
        "Is there fresh fuel in the tank? Smells stale (setting of 2026-04-25)",
    )


def test_a_screen_shows_all_of_a_card(proven: CardFacts) -> None:
    """Every text of it, and cautions marked as such."""
    card = workshop_card(proven)
    lines = list(plain_lines(card))
    assert all(
        f"- CAUTION: {item}" in lines for s in card.sections if s.warning for item in s.items
    )
    shown = "\n".join(lines)
    for section in card.sections:
        assert section.heading.upper() in lines
        for words in (
            *section.sentences,
            *section.items,
            *[c for row in section.table for c in row],
        ):
            assert words in shown
    assert any(line.endswith("before 25 psi, after 13 psi") for line in lines)


@pytest.mark.parametrize("name", ["card.txt", "card", ".pdf"])
def test_a_name_without_a_known_ending_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match=r"end the name in \.md, \.html or \.pdf"):
        kind_of(Path(name))
    assert kind_of(Path("CARD.PDF")) == "pdf"


@pytest.mark.parametrize("report", ["better", "same"])
def test_a_case_that_is_not_proven_does_not_name_a_cause(
    make_facts: MakeFacts, mower_assessor: Assessor, report: str
) -> None:
    case = Case(events=(Complained("no-start"), Corrected("fill-up"), Rode(report)))  # type: ignore[arg-type]
    facts = make_facts(mower_assessor, case)
    assert not facts.causes
    assert "not settled" in text_of(workshop_card(facts)).lower()


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)

    def handle_data(self, data: str) -> None:
        self.text.append(data)


ALLOWED = {
    "html", "head", "meta", "title", "style", "body", "h1", "dl", "dt", "dd", "section", "h2", "p",
    "ul", "li", "strong", "table", "tr", "th", "td", "footer", "figure", "figcaption", "svg", "g",
    "line", "polyline", "polygon", "circle", "rect", "path", "text",
}  # fmt: skip


def check_html(card: Card, *texts: str) -> None:
    parser = _Text()
    parser.feed(html_card(card))
    assert parser.tags <= ALLOWED
    shown = "".join(parser.text)
    for text in texts:
        assert text in shown


def check_markdown(card: Card, *texts: str) -> None:
    rendered = (
        MarkdownIt("commonmark").enable("table").enable("strikethrough").render(markdown_card(card))
    )
    tags = set(re.findall(r"<(\w+)", rendered))
    assert tags <= {
        "h1",
        "h2",
        "p",
        "ul",
        "li",
        "strong",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
    }
    shown = html.unescape(re.sub(r"<[^>]+>", "", rendered))
    for text in texts:
        assert text in shown


def test_what_people_write_is_shown_and_never_run(proven: CardFacts) -> None:
    for card in (workshop_card(proven), customer_card(proven)):
        check_html(card, clean(NASTY))
        check_markdown(card, clean(NASTY))
        assert (
            clean(NASTY)[:40] in PdfReader(io.BytesIO(pdf_card(card, NOON))).pages[0].extract_text()
        )


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=40), st.text(alphabet="*_-+=#|\\`<>[]()&!~.1 \n\tab:/", max_size=30))
def test_any_text_anywhere_comes_out_as_it_went_in(one: str, other: str) -> None:
    section = Section(
        "Heading", (one, f"x {other}"), (other, one), ("A", "B"), ((one, other), (other, one)), True
    )
    card = card_of("workshop", f"Card {one}", [("Label", other or "-")], [section], "Foot.")
    texts = [clean(one), clean(other)]
    check_html(card, *texts)
    check_markdown(card, *texts)


def pages_of(card: Card) -> int:
    return len(PdfReader(io.BytesIO(pdf_card(card, NOON))).pages)


def test_a_card_stays_within_two_pages_and_the_longest_within_three(
    proven: CardFacts, make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    """The correction with most words, every reading taken, several long notes."""
    assert pages_of(workshop_card(proven)) <= 2
    rules = offroad_assessor.rules
    longest = max(
        rules.corrections,
        key=lambda name: (
            len("".join(rules.corrections[name].steps))
            + 300 * len(rules.corrections[name].cautions)
        ),
    )
    readings = [
        read_answer(rules, name, o.limits[0])
        for name, o in rules.observations.items()
        if o.limits and o.enters is None  # every target is looked up already
    ]
    notes = [Noted("word " * 100) for _ in range(6)]
    case = Case(events=(Complained("harsh"), *readings, *notes))
    work = (Corrected(longest), Rode("gone"))
    facts = make_facts(offroad_assessor, case, *work, bike="Another")
    assert pages_of(workshop_card(facts)) <= 3
    assert pages_of(customer_card(facts)) <= 2


def test_the_pdf_knows_letters_from_elsewhere_and_is_the_same_each_time(proven: CardFacts) -> None:
    card = card_of(
        "customer", "Größe Ωμέγα ездит 自転車 N·m ×", [], [Section("A", ("żółć ≥ 3 °C",))], "x"
    )
    made = pdf_card(card, NOON)
    text = PdfReader(io.BytesIO(made)).pages[0].extract_text()
    assert "Größe Ωμέγα ездит ??? N·m ×" in text
    assert "żółć ≥ 3 °C" in text
    assert pdf_card(card, NOON) == made
    assert PdfReader(io.BytesIO(made)).metadata.title == card.title  # type: ignore[union-attr]


@pytest.mark.parametrize("text", ["", "\x00\x07", " ", "a\u202eb"])
def test_what_cannot_be_printed_is_left_out(text: str) -> None:
    card = card_of("customer", "T", [("L", text)], [Section("A", (text, "x"), (text,))], "f")
    assert pdf_card(card, NOON)
    assert "\u202e" not in html_card(card)


def test_control_characters_leave_no_blank_behind() -> None:
    assert clean("0\r\x1b") == "0"
    assert clean(" a\x00 \n b ") == "a b"


def two_put_right(assessor: Assessor) -> Case:
    """A tyre that was far too hard, then a dry linkage; the first ride better, the second gone."""
    rules = assessor.rules
    return Case(
        events=(
            Complained("harsh", "rear"),
            read_answer(rules, "rear-tyre-gauge", "25 psi"),
            Corrected("set-rear-tyre-pressure"),
            read_answer(rules, "rear-tyre-gauge", "13 psi"),
            Rode("better"),
            Answered("linkage-strip-look", "dry"),
            Corrected("dry-and-grease-pivots"),
            Rode("gone"),
        )
    )


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize(
    ("make", "heading"), [(workshop_card, "Cause"), (customer_card, "What we found")]
)
def test_all_that_was_put_right_on_the_way_is_named_in_order_with_its_ride(
    make_facts: MakeFacts,
    offroad_assessor: Assessor,
    closed: bool,
    make: Callable[[CardFacts], Card],
    heading: str,
) -> None:
    facts = make_facts(offroad_assessor, two_put_right(offroad_assessor), closed=closed)
    (found,) = (s for s in make(facts).sections if s.heading == heading)
    tyre = found.sentences.index(
        "Set the rear tyre pressure: found 25 psi, set 13 psi; the ride after it: better."
    )
    title = offroad_assessor.rules.corrections["dry-and-grease-pivots"].title
    linkage = found.sentences.index(f"{title}: the ride after it: gone.")
    assert found.sentences[0] == "1 Rear tyre pressure too high." and tyre < linkage
    assert "The credit is shared between them." in found.sentences


PINCHED = (
    Complained("harsh", "rear"),
    Answered("changed-front-wheel-out", state="yes"),
    Answered("front-push-down-sticks", state="sticks"),
    Answered("front-sticks-after-loosening-axle", state="frees"),
    Corrected("realign-front-axle"),
    Rode("better"),
)


@pytest.mark.parametrize("closed", [True, False])
def test_each_of_two_causes_has_its_own_checks_work_and_proof(
    make_facts: MakeFacts, offroad_assessor: Assessor, closed: bool
) -> None:
    rules = offroad_assessor.rules
    facts = make_facts(offroad_assessor, two_put_right(offroad_assessor), closed=closed)
    card = workshop_card(facts)
    parts = {section.heading: section for section in card.sections}
    tyre, linkage = (rules.corrections[name] for name in facts.corrections())
    first, second = parts[f"Correction 1: {tyre.title}"], parts[f"Correction 2: {linkage.title}"]
    assert first.sentences[0] == "Found 25 psi, set 13 psi; the ride after it: better."
    assert second.sentences[0] == "The ride after it: gone."
    assert first.items == tyre.steps[:8] and second.items == linkage.steps[:8]
    for name in ("rear-tyre-pressure-high", facts.causes[1]):
        assert parts[f"Evidence for and against: {rules.causes[name].title}"].items
    checks = parts[f"Evidence for and against: {rules.causes[facts.causes[0]].title}"].items
    assert any("25 psi" in item for item in checks)
    assert not any("13 psi" in item for item in checks)  # what it was set to shows nothing
    proofs = parts["Ride to test"].sentences
    assert proofs[:2] == (f"1 {tyre.proof}", f"2 {linkage.proof}")
    cautions = parts["Cautions"].items
    assert all(rules.cautions[n].text in cautions for n in (*tyre.cautions, *linkage.cautions))


def test_each_complaint_has_its_own_ride_and_shares_no_credit_with_another(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    """One of two is gone: the card does not say that the complaint was gone."""
    weep, dives = Complained("seal-weep", "front"), Complained("diving")
    rides = Rode("same", "diving"), Rode("gone", "seal-weep/front")
    events = (dives, weep, Corrected("clean-fork-seals"), *rides)
    facts = make_facts(offroad_assessor, Case(events=events), closed=False)
    for card in (workshop_card(facts), customer_card(facts)):
        text = text_of(card)
        assert "The complaint was gone." not in text and "credit is shared" not in text
        assert "Ridden since the work, dives: same." in text
        assert "Ridden since the work, seal weep (front): gone." in text


def test_an_open_card_keeps_what_a_ride_has_proven(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    """While something is left to find, and while the next work is not ridden yet."""
    rules = offroad_assessor.rules
    read = read_answer(rules, "rear-race-sag-measured", "128 mm")
    for number, later in enumerate(((), (read, Corrected("set-rear-sag")))):
        case = Case(events=(*PINCHED, *later))
        facts = make_facts(offroad_assessor, case, closed=False, bike=str(number))
        cause = next(s for s in workshop_card(facts).sections if s.heading == "Cause")
        title = rules.corrections["realign-front-axle"].title
        assert f"{title}: the ride after it: better." in cause.sentences
        assert cause.sentences[-1] == "What is left is not settled yet. Most likely:"
        assert cause.items
        found = next(s for s in customer_card(facts).sections if s.heading == "What we found")
        assert f"{title}: the ride after it: better." in found.sentences
        assert "We are still looking." in found.sentences
    assert readings_of(workshop_card(facts))[0][2:] == ("128 mm", "not measured again")


def test_a_single_thing_put_right_shares_no_credit(proven: CardFacts) -> None:
    cause = next(s for s in workshop_card(proven).sections if s.heading == "Cause")
    assert (
        "Set the front tyre pressure: found 25 psi, set 13 psi; the ride after it: gone."
        in cause.sentences
    )
    assert not any("shared" in sentence for sentence in cause.sentences)


def readings_of(card: Card) -> tuple[tuple[str, ...], ...]:
    return next(part for part in card.sections if part.heading == "Readings").table


def test_a_rule_of_thumb_is_no_order_and_gone_once_something_was_set(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    """An adventure bike whose manual's figure nobody has looked up, in the reader's unit."""
    rules = offroad_assessor.rules
    case = Case(
        {"class": "adventure"},
        events=(Complained("harsh", "front"), read_answer(rules, "front-tyre-gauge", "2.5 bar")),
    )
    card = workshop_card(make_facts(offroad_assessor, case, closed=False))
    (row,) = readings_of(card)
    usual = "about 2.21 bar, usual for such bikes; the manual's figure decides"
    assert row[1:] == (usual, "2.5 bar", "-")
    work = Corrected("set-front-tyre-pressure")
    again = read_answer(rules, "front-tyre-gauge", "33 psi")
    facts = make_facts(offroad_assessor, case, work, again, closed=False, bike="Two")
    (row,) = readings_of(workshop_card(facts))
    assert row[1:] == ("the manual's figure", "36.3 psi", "33 psi")


def test_a_manual_figure_stands_in_the_unit_that_was_read(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    targets = dict([read_target(rules, "front-tyre-pressure", "0.9 bar")])
    found = read_answer(rules, "front-tyre-gauge", "25 psi")
    case = Case({}, targets, (Complained("harsh", "front"), found))
    facts = make_facts(offroad_assessor, case, closed=False)
    ((_, figure, before, _),) = readings_of(workshop_card(facts))
    assert (figure, before) == ("13.1 psi as given", "25 psi")
    text = text_of(workshop_card(facts))
    assert "bar" not in text.replace("handlebar", "")


@pytest.mark.parametrize(("kind", "is_named"), [("full-size", True), ("adventure", False)])
def test_sources_printed_for_another_kind_of_bike_are_left_out(
    make_facts: MakeFacts, offroad_assessor: Assessor, kind: str, is_named: bool
) -> None:
    rules = offroad_assessor.rules
    case = Case(
        {"class": kind},
        events=(
            Complained("harsh", "front"),
            read_answer(rules, "front-tyre-gauge", "50 psi"),
            Corrected("set-front-tyre-pressure"),
            Rode("gone"),
        ),
    )
    card = workshop_card(make_facts(offroad_assessor, case))
    sources = "\n".join(next(s for s in card.sections if s.heading == "Sources").items)
    printed = [str(rules.sources[s]) for s in rules.observations["front-tyre-gauge"].source]
    assert sources and all((text in sources) == is_named for text in printed)


def test_a_figure_that_judged_nothing_brings_no_sources(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    """14 psi may be right on such a bike; only the manual's figure could say."""
    rules = offroad_assessor.rules
    events = (Complained("harsh", "front"), read_answer(rules, "front-tyre-gauge", "14 psi"))
    own = dict([read_target(rules, "front-tyre-pressure", "13 psi")])
    text = str(rules.sources["manual-mx250-2014"])
    for targets, is_named in (({}, False), (own, True)):
        facts = make_facts(
            offroad_assessor, Case({}, targets, events), closed=False, bike=f"Bike {is_named}"
        )
        items = [
            i for s in workshop_card(facts).sections if s.heading == "Sources" for i in s.items
        ]
        assert (text in items) == is_named


def test_a_drawing_stands_as_it_is_on_paper_and_in_words_in_text(offroad: RuleBase) -> None:
    drawn = drawings_of(offroad, ("chain-slack", None, "chain-slack"))
    card = card_of("workshop", "Card", [], [Section("Correction", drawings=drawn)], "Foot")
    picture = offroad.pictures["chain-slack"]
    assert html_card(card).count(offroad.drawings["chain-slack"]) == 1
    assert f'aria-label="{picture.title}: {picture.description}"' in html_card(card)
    words = f"- {picture.title}: {picture.description}"
    assert words in markdown_card(card).replace("\\", "")
    assert words in plain_lines(card)
    (page,) = PdfReader(io.BytesIO(pdf_card(card, NOON))).pages
    assert "swingarm pivot" in page.extract_text()


@pytest.mark.parametrize(
    ("found", "set_to", "cause"),
    [("25 psi", "13 psi", "Front tyre pressure too high"),
     ("7 psi", "13 psi", "Front tyre pressure too low"),
     # no rule of thumb calls it off, but it was let down
     ("14 psi", "12 psi", "Front tyre pressure too high"),
     ("", "13 psi", ""), ("", "", "")],
)  # fmt: skip
def test_a_card_before_closing_names_one_cause_and_not_its_opposite_too(
    make_facts: MakeFacts, offroad_assessor: Assessor, found: str, set_to: str, cause: str
) -> None:
    """What was found and what was set tell which; where nobody read it, that is said."""
    rules = offroad_assessor.rules
    before = [read_answer(rules, "front-tyre-gauge", found)] if found else []
    after = [read_answer(rules, "front-tyre-gauge", set_to)] if set_to else []
    case = Case(events=(Complained("harsh", "front"), *before))
    work = (Corrected("set-front-tyre-pressure"), *after, Rode("gone"))
    facts = make_facts(offroad_assessor, case, *work, closed=False)
    for card in (workshop_card(facts), customer_card(facts)):
        section = next(s for s in card.sections if s.heading in ("Cause", "What we found"))
        text = "\n".join((*section.sentences, *section.items))
        named = [t for t in ("too high", "too low") if f"Front tyre pressure {t}" in text]
        assert len(named) == 1
        assert cause in text
        assert ("or the opposite: it was not read before the work" in text) == (not found)
        assert f"found {found}, set {set_to}" in text or not found


def test_an_open_case_lists_opposites_as_one_suspect(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    case = Case(events=(Complained("harsh", "front"), Answered("front-tyre-thumb", None)))
    for work in ((), (Corrected("set-fork-rebound"), Rode("same"))):
        facts = make_facts(offroad_assessor, case, *work, closed=False, bike=f"Demo {len(work)}")
        for card in (workshop_card(facts), customer_card(facts)):
            section = next(s for s in card.sections if s.heading in ("Cause", "What we found"))
            named = [
                c
                for c in offroad_assessor.rules.causes
                if any(offroad_assessor.rules.causes[c].title in i for i in section.items)
            ]
            assert not any(opposite_of(offroad_assessor.rules, c) & set(named) for c in named)


def test_what_was_filled_in_is_printed_and_what_was_not_is_left_out(proven: CardFacts) -> None:
    filled = filled_in(
        Details(),
        {"customer": "Demo Rider", "technician": NASTY, "parts": "valve core", "time": "45"},
    )
    cards = (workshop_card, customer_card)
    for card in (make(proven) for make in cards):
        assert "Customer" not in text_of(card) and "Parts and time" not in headings(card)
    facts = replace(
        proven, kept=replace(proven.kept, folded=replace(proven.kept.folded, details=filled))
    )
    for card in (make(facts) for make in cards):
        assert ("Customer", "Demo Rider") in card.facts
        assert ("Technician", clean(NASTY)) in card.facts
        section = next(part for part in card.sections if part.heading == "Parts and time")
        assert section.items == ("Parts used: valve core", "Time taken: 45 min")
        assert "Price" not in text_of(card)
        assert "Time taken: 45 min" in "\n".join(plain_lines(card))


@pytest.mark.parametrize(
    ("field", "text"),
    [("time", "13 psi"), ("time", "soon"), ("time", "-5 min"), ("parts", "x" * 501)],
)
def test_what_cannot_be_filled_in_is_refused_by_its_name(field: str, text: str) -> None:
    with pytest.raises(WrongDetail, match=DETAILS[field]):
        filled_in(Details(), {field: text})


def test_a_figure_looked_up_is_no_reading_but_what_its_reading_should_be(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    told = (
        read_answer(rules, "manual-front-tyre-pressure", "12.5 psi"),
        read_answer(rules, "front-tyre-gauge", "25 psi"),
    )
    case = Case(events=(Complained("harsh", "front"), *told))
    (row,) = readings_of(workshop_card(make_facts(offroad_assessor, case, closed=False)))
    assert row[1:] == ("12.5 psi as given", "25 psi", "-")
