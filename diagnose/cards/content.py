"""What stands on a card: for the workshop with evidence and sources, for the customer in plain
words, for a rider to take to a workshop. Cautions stand on all."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.advice.taking_along import TakeAlong, goes_along, take_along
from diagnose.cards.blocks import Audience, Card, card_of
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.card_sections import (
    assumed_part,
    bike_part,
    cause_part,
    cautions_part,
    complaint_part,
    correction_parts,
    done_part,
    evidence_parts,
    found_part,
    head_part,
    next_service_part,
    next_step_part,
    parts_part,
    readings_part,
    ride_test_part,
    said_part,
    sources_part,
    stop_part,
    story_part,
)
from diagnose.cards.chart_part import chart_part
from diagnose.cards.take_along_sections import take_along_parts
from diagnose.words.bike_words import bike_in_full, bike_line

_FOOT = (
    "The owner's manual and a qualified technician come before this card. Probabilities are the "
    "rule base's judgement, not measurements."
)
_LIST_FOOT = (
    "The owner's manual and a qualified technician come before this list. How likely a cause is "
    "has been judged by a rule base, not measured."
)
_CUSTOMER_FOOT = "The owner's manual of your bike comes before anything on this card."


def workshop_card(facts: CardFacts) -> Card:
    """The workshop's card, with evidence, readings and sources; it stays with the job."""
    sections = [
        stop_part(facts),
        complaint_part(facts, "Complaint"),
        cause_part(facts),
        chart_part(facts, "The case as a picture"),
        cautions_part(facts, "Cautions"),
        next_step_part(facts),
        *correction_parts(facts),
        parts_part(facts),
        readings_part(facts),
        said_part(facts),
        assumed_part(facts),
        *evidence_parts(facts),
        ride_test_part(facts, "Ride to test"),
        next_service_part(facts, "Next service"),
        bike_part(facts),
        sources_part(facts),
    ]
    base = ("Rule base", facts.rules.versions)
    head = [*head_part(facts), ("Bike", bike_line(facts.rules, facts.case)), base]
    number = f", case {facts.kept.id}" if facts.kept.id else ""
    return card_of("workshop", f"Job card{number}", head, sections, _FOOT)


def card_for(audience: Audience | None, facts: CardFacts, assessor: Assessor) -> Card:
    """The card for the workshop, for the customer, or to take along; for nobody named, the list to
    take along where that comes next, else the workshop's.

    Raises what `Assessor.assess` raises.
    """
    is_open = facts.kept.folded.closed is None
    match audience or ("take-along" if is_open and goes_along(facts.assessment) else "workshop"):
        case "customer":
            return customer_card(facts)
        case "take-along":
            return take_along_card(facts, take_along(assessor, facts.assessment))
        case _:
            return workshop_card(facts)


def take_along_card(facts: CardFacts, along: TakeAlong) -> Card:
    """What a rider takes to a workshop: any reason not to ride first, then the rider's words."""
    sections = [stop_part(facts), story_part(facts), *take_along_parts(facts, along)]
    *whose, opened, made, _ = head_part(facts)
    head = [*whose, ("Bike", bike_in_full(facts.rules, facts.case)), opened, made]
    return card_of("take-along", "To take along to a workshop", head, sections, _LIST_FOOT)


def customer_card(facts: CardFacts) -> Card:
    """The customer's card, in plain words; it goes with the bike."""
    sections = [
        stop_part(facts),
        complaint_part(facts, "What you told us"),
        found_part(facts),
        done_part(facts),
        chart_part(facts, "Before and after", with_causes=False),
        parts_part(facts),
        cautions_part(facts, "Please mind"),
        ride_test_part(facts, "On your next ride"),
        next_service_part(facts, "Next service"),
    ]
    title = f"Your bike: {facts.kept.bike}" if facts.kept.bike else "Your bike"
    return card_of("customer", title, head_part(facts), sections, _CUSTOMER_FOOT)
