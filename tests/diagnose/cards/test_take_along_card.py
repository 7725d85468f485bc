"""The list that a rider takes to a workshop, on paper."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from diagnose.advice.assessor import Assessor
from diagnose.cards.blocks import Card
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.content import card_for, customer_card, workshop_card
from diagnose.cards.plain import plain_lines
from diagnose.cards.rendering import card_bytes
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Noted,
    Rode,
    Told,
    read_answer,
    read_target,
)
from tests.mower_bikes import given_up, peopled_shop

MakeFacts = Callable[..., CardFacts]
NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
LONG = " ".join(f"Lap {number} was worse than the one before it." for number in range(200))


@pytest.fixture
def garden(tmp_path: Path) -> Assessor:
    return peopled_shop(tmp_path)


def headings(card: Card) -> list[str]:
    return [section.heading for section in card.sections]


def test_any_reason_not_to_ride_comes_first_and_then_the_riders_words(
    make_facts: MakeFacts, offroad_assessor: Assessor
) -> None:
    rules = offroad_assessor.rules
    case = Case(
        targets=dict([read_target(rules, "rear-tyre-pressure", "12.5 psi")]),
        events=(
            Asking("trail"),
            Told("Front clunks. I checked nothing."),
            Complained("harsh", "front"),
            read_answer(rules, "rear-tyre-gauge", "30 psi"),
            Answered("head-play-rock", "play"),
            Answered("worse-as-ride-goes-on", "yes"),
            Corrected("set-front-tyre-pressure"),
            Rode("same"),
        ),
    )
    facts = make_facts(offroad_assessor, case, closed=False)
    card = card_for("take-along", facts, offroad_assessor)
    assert headings(card) == [
        "Before anything else", "In the rider's words", "Cautions", "Found", "Put right already",
        "Asked and looked at", "Suspected", "To be checked, in this order",
    ]  # fmt: skip
    by_heading = {section.heading: section for section in card.sections}
    assert by_heading["Before anything else"].sentences[0].startswith("DO NOT RIDE")
    assert by_heading["In the rider's words"].sentences == (
        "“Front clunks. I checked nothing.”",
        "Complaint: Harsh (front).",
    )
    found = by_heading["Found"].items
    assert any("30 psi → 12.5 psi" in text and "min, anyone with tools)" in text for text in found)
    assert by_heading["Put right already"].items == (
        "Done: Set the front tyre pressure",
        "Ride: same",
    )
    checks = by_heading["To be checked, in this order"]
    assert checks.head == ("Check", "Minutes", "Needs", "Would show")
    assert [row[0].partition(".")[0] for row in checks.table] == [
        str(number) for number in range(1, len(checks.table) + 1)
    ]
    assert all(float(row[1]) > 0 and row[2] and row[3] for row in checks.table)


def test_the_list_says_in_words_how_likely_and_who_is_needed(
    make_facts: MakeFacts, garden: Assessor
) -> None:
    facts = make_facts(garden, given_up(), closed=False)
    text = "\n".join(plain_lines(card_for("take-along", facts, garden)))
    assert "- Plug worn: it is as likely as not, put right by fit a new plug (5 min," in text
    assert "needs opened up, by a qualified technician" in text
    assert " %" not in text and "no-start" not in text and "plug-worn" not in text


def test_it_is_the_card_of_a_case_that_ends_so_until_it_is_closed(
    make_facts: MakeFacts, garden: Assessor
) -> None:
    open_still = make_facts(garden, given_up(), closed=False, bike="One")
    assert card_for(None, open_still, garden).audience == "take-along"
    assert card_for("workshop", open_still, garden).audience == "workshop"
    in_a_shop = make_facts(garden, given_up(Asking("shop")), closed=False, bike="Two")
    assert card_for(None, in_a_shop, garden).audience == "workshop"
    closed = make_facts(garden, given_up(), bike="Three")
    assert card_for(None, closed, garden).audience == "workshop"


@pytest.mark.parametrize("kind", ["markdown", "html", "pdf"])
def test_it_is_written_like_every_card(make_facts: MakeFacts, garden: Assessor, kind: str) -> None:
    card = card_for("take-along", make_facts(garden, given_up(), closed=False), garden)
    raw = card_bytes(card, kind, NOON)  # type: ignore[arg-type]
    if kind == "pdf":
        text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(raw)).pages)
    else:
        text = raw.decode("utf-8")
    for part in ("To take along to a workshop", "Carburettor gummed up", "pulled till my arm"):
        assert part in text


def test_a_long_story_stands_whole_on_every_card(make_facts: MakeFacts, garden: Assessor) -> None:
    facts = make_facts(garden, given_up(Told(LONG)), closed=False)
    for card in (
        workshop_card(facts), customer_card(facts), card_for("take-along", facts, garden)
    ):  # fmt: skip
        assert LONG in "\n".join(plain_lines(card))


def test_notes_that_are_left_out_are_counted(make_facts: MakeFacts, garden: Assessor) -> None:
    notes = [Noted(f"note {number}") for number in range(7)]
    facts = make_facts(garden, given_up(*notes), closed=False)
    (complaint,) = (s for s in workshop_card(facts).sections if s.heading == "Complaint")
    assert complaint.items[1:] == (
        "note 0", "note 1", "note 2", "note 3", "3 more notes kept with the case.",
    )  # fmt: skip
