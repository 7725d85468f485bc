"""What stands on a job card: for the workshop with evidence and sources, for the customer in plain
words. Cautions stand on both."""

from __future__ import annotations

from diagnose.cards.blocks import Audience, Card, Section, card_of
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.card_sections import (
    assumed_part,
    cause_part,
    cautions_part,
    complaint_part,
    correction_part,
    done_part,
    evidence_part,
    found_part,
    head_part,
    next_service_part,
    next_step_part,
    readings_part,
    ride_test_part,
    said_part,
    sources_part,
    stop_part,
)
from diagnose.words.bike_words import bike_in_full

_FOOT = (
    "The owner's manual and a qualified technician come before this card. Probabilities are the "
    "rule base's judgement, not measurements."
)
_CUSTOMER_FOOT = "The owner's manual of your bike comes before anything on this card."


def workshop_card(facts: CardFacts) -> Card:
    """The workshop's card, with evidence, readings and sources; it stays with the job."""
    chosen = facts.correction()
    sections = [
        stop_part(facts),
        complaint_part(facts, "Complaint"),
        cause_part(facts),
        cautions_part(facts, "Cautions"),
        next_step_part(facts),
        correction_part(facts),
        readings_part(facts),
        said_part(facts),
        assumed_part(facts),
        evidence_part(facts),
        ride_test_part(facts, "Ride to test"),
        next_service_part(facts, "Next service"),
        Section("Sources", items=sources_part(facts, chosen)),
    ]
    base = ("Rule base", facts.rules.versions)
    head = [*head_part(facts), ("Bike", bike_in_full(facts.rules, facts.case)), base]
    number = f", case {facts.kept.id}" if facts.kept.id else ""
    return card_of("workshop", f"Job card{number}", head, sections, _FOOT)


def card_for(audience: Audience, facts: CardFacts) -> Card:
    """The card for the workshop or for the customer."""
    return workshop_card(facts) if audience == "workshop" else customer_card(facts)


def customer_card(facts: CardFacts) -> Card:
    """The customer's card, in plain words; it goes with the bike."""
    sections = [
        stop_part(facts),
        complaint_part(facts, "What you told us"),
        found_part(facts),
        done_part(facts),
        cautions_part(facts, "Please mind"),
        ride_test_part(facts, "On your next ride"),
        next_service_part(facts, "Next service"),
    ]
    title = f"Your bike: {facts.kept.bike}" if facts.kept.bike else "Your bike"
    return card_of("customer", title, head_part(facts), sections, _CUSTOMER_FOOT)
