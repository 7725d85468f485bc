"""No id ever reaches a person: everything that is said of the shipped pack has titles."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import get_args

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import OBSERVING, Step, StepKind
from diagnose.advice.reasons import (
    AlsoOff,
    AnswersClash,
    AskedFirst,
    BeforeGivingUp,
    BestGuess,
    CountedAgain,
    Dangerous,
    FoundMeanwhile,
    FoundToo,
    FoundUnsafe,
    GoesWith,
    LookAfter,
    LookAgain,
    MayClear,
    MayComeTo,
    MayForbid,
    Needed,
    NoComplaintYet,
    NotDoneHere,
    NothingFound,
    NothingPays,
    NotSafe,
    OneRideMore,
    OutsideFirst,
    Proven,
    Reason,
    RiddenSince,
    RideDue,
    SameRide,
    Saves,
    SettlesMost,
)
from diagnose.authoring.handbook.rule_words import rule_in_words
from diagnose.cards.blocks import Audience, Card
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.content import card_for
from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Rode,
)
from diagnose.case.files import load_worked_cases
from diagnose.inference.evidence import Evidence
from diagnose.words.answers import choices, none_of
from diagnose.words.bike_words import bike_in_full, bike_line
from diagnose.words.cause_words import cause_reasons, leading_line, moved_line
from diagnose.words.event_words import event_row, event_text
from diagnose.words.evidence_words import evidence_text
from diagnose.words.sources import source_text
from diagnose.words.step_words import (
    KIND_WORDS,
    step_label,
    step_pack_text,
    step_reasons,
    step_text,
    why_text,
)
from diagnose.words.titles import short_titles
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase
from tests.known_ids import ids_in, known_ids

MakeFacts = Callable[..., CardFacts]
EVERY = 6  # of the worked cases; all of them take a minute


def events_of(rules: RuleBase) -> Iterator[Event]:
    """Every event that can be recorded under the pack, readings left out."""
    for complaint, entry in rules.complaints.items():
        yield from (Complained(complaint, place) for place in (None, *entry.places))
    for name, observation in rules.observations.items():
        yield from (Answered(name, state=state) for state in observation.states)
        yield from (Answered(name), Answered(name, cannot_here=True))
    for correction in rules.corrections:
        yield from (Corrected(correction), Declined(correction))
    yield from (Rode(report) for report in RIDE_REPORTS)
    yield from (Insisted(key) for key, rule in rules.rules.items() if rule.then.contradiction)


def reasons_of(rules: RuleBase) -> Iterator[Reason]:
    """Every reason a step can have, for every entry it can name."""
    yield from (NoComplaintYet(), Proven(), RideDue(), SameRide(), AlsoOff(0.9, 5))
    yield from (FoundToo(5), FoundMeanwhile(0.9, 5), MayForbid(0.1))
    yield from (Needed(0.4, 12, settled) for settled in (True, False))
    for cause in rules.causes:
        saves = Saves(1.5, 20, (cause,))
        yield from (
            Dangerous(cause, 0.2, 0.3),
            BeforeGivingUp(cause, 0.4),
            BestGuess(cause, 0.4),
            SettlesMost(cause, 0.4),
            OneRideMore(cause, 0.9),
            FoundUnsafe(cause),
            NothingPays(cause, 0.3, 0.4),
            saves,
        )
        yield from (OutsideFirst(cause, None), OutsideFirst(cause, saves))
    yield from (MayComeTo(correction, 0.3) for correction in rules.corrections)
    yield from (LookAfter(correction) for correction in rules.corrections)
    yield NothingFound(tuple(rules.observations))
    yield from (NotDoneHere(correction, 0.9) for correction in rules.corrections)
    yield from (AskedFirst(complaint) for complaint in rules.complaints)
    yield from (GoesWith(made) for made in rules.observations)
    yield from (MayClear(name) for name, entry in rules.observations.items() if entry.safety)
    for name, entry in rules.observations.items():
        shown = list(entry.settles)
        if entry.counted is not None and len(shown) > 1:
            yield CountedAgain(name, shown[0], shown[1])
    for key, rule in rules.rules.items():
        if rule.then.contradiction:
            yield AnswersClash(key, rule.then.check)
        if rule.then.do_not_ride:
            yield from (
                NotSafe(key, True),
                NotSafe(key, False, next(iter(rules.corrections))),
                LookAgain(key),
                RiddenSince(key),
            )


def steps_of(rules: RuleBase) -> Iterator[Step]:
    """A step of every kind for every entry that it can be about."""
    for name, entry in rules.observations.items():
        yield Step(OBSERVING[entry.kind], name, None, entry.minutes)
    for name, correction in rules.corrections.items():
        yield Step("correct", name, None, correction.minutes, "safety first")
        yield Step("confirm", name, RideDue(), 20.0, "one change at a time")
    for name, rule in rules.rules.items():
        if rule.then.contradiction:
            yield Step("check-again", name, AnswersClash(name, rule.then.check), 1.0)
    yield Step("complain", "", NoComplaintYet(), 0.5)
    yield Step("close", "", Proven(), 1.0)
    yield Step("hand-over", "", NothingPays(next(iter(rules.causes)), 0.3, 0.4), 60.0)


def evidence_of(rules: RuleBase) -> Iterator[Evidence]:
    """Every kind of evidence for every entry that it can be about."""
    for name, node in rules.nodes.items():
        if node.kind != "complaint":
            yield from (Evidence("node", name, state, (name,)) for state in node.states)
    for complaint, entry in rules.complaints.items():
        keys = [complaint, *(f"{complaint}/{place}" for place in entry.places)]
        yield from (Evidence("complaint", key, "yes") for key in keys)
    for correction in rules.corrections:
        yield Evidence("ride", "ride", "better", corrected=(correction,))
    yield Evidence("ride", "ride", "same")


def test_every_reason_is_walked(offroad: RuleBase) -> None:
    assert {type(reason) for reason in reasons_of(offroad)} == set(get_args(Reason))


def test_every_kind_of_step_is_walked(offroad: RuleBase) -> None:
    assert {step.kind for step in steps_of(offroad)} == set(get_args(StepKind)) == set(KIND_WORDS)


def test_steps_and_their_reasons_have_no_ids(offroad: RuleBase) -> None:
    texts: list[str] = []
    for step in steps_of(offroad):
        words = step_text(offroad, Case(), step, tuple(offroad.cautions))
        texts += [words.heading, *words.cautions, *words.how, *words.tools, words.note]
        texts += [step_label(offroad, step), step_pack_text(offroad, step)]
    texts += [why_text(offroad, Step("ask", "", reason, 1.0)) for reason in reasons_of(offroad)]
    assert len(texts) > 2000 and all(isinstance(text, str) for text in texts)
    assert ids_in(offroad, texts) == {}


def test_events_answers_and_evidence_have_no_ids(offroad: RuleBase) -> None:
    events = list(events_of(offroad))
    texts = [say(offroad, event) for event in events for say in (event_text, event_row)]
    texts += [evidence_text(offroad, item) for item in evidence_of(offroad)]
    texts += short_titles(offroad, offroad.observations).values()
    texts += [
        none_of("perhaps", [label for _, label in choices(entry)])
        for entry in offroad.observations.values()
    ]
    assert len(texts) > 2 * len(events) > 2000
    assert ids_in(offroad, texts) == {}


def test_bikes_sources_and_rules_in_words_have_no_ids(offroad: RuleBase) -> None:
    texts = [source_text(offroad, source) for source in offroad.sources]
    for trait, entry in offroad.traits.items():
        for option in entry.options:
            case = Case({trait: option})
            texts += [bike_line(offroad, case), bike_in_full(offroad, case)]
    for rule in offroad.rules.values():
        texts += rule_in_words(offroad, rule)
    assert ids_in(offroad, texts) == {}


def test_worked_cases_are_told_without_ids(offroad_assessor: Assessor) -> None:
    """The step, what leads and why, after a correction and a ride as well."""
    rules = offroad_assessor.rules
    worked = [item.case for item in load_worked_cases(rules, OFFROAD / WORKED_CASES)][::EVERY]
    texts: list[str] = []
    for case in worked:
        correction = offroad_assessor.assess(case).plan.corrections[:1]
        after = [Corrected(name) for name in correction]
        for told in (
            case,
            Case(case.machine, case.targets, (*case.events, *after, Rode("better"))),
        ):
            made = offroad_assessor.assess(told)
            texts += step_reasons(rules, told, made, {})
            texts.append(leading_line(rules, made))
            texts.append(moved_line(rules, told, made, ()))
            for item in made.ranking.causes[:3]:
                texts += cause_reasons(rules, told, made.options, item, {})
    assert len(texts) > 40 * len(worked) > 400
    assert ids_in(rules, texts) == {}


def text_of(card: Card) -> Iterator[str]:
    yield from (card.title, card.foot)
    for label, value in card.facts:
        # the packs of a rule base are named as their makers name them
        yield label if label == "Rule base" else f"{label}: {value}"
    for section in card.sections:
        yield from (section.heading, *section.sentences, *section.items, *section.head)
        yield from (cell for row in section.table for cell in row)


@pytest.mark.parametrize("closed", [True, False])
def test_cards_have_no_ids(make_facts: MakeFacts, offroad_assessor: Assessor, closed: bool) -> None:
    """With readings, states, a ride, service clocks and something declined."""
    rules = offroad_assessor.rules
    worked = [item.case for item in load_worked_cases(rules, OFFROAD / WORKED_CASES)]
    case = max(worked, key=lambda case: len(case.events))
    first, second = (*offroad_assessor.assess(case).plan.corrections, *rules.corrections)[:2]
    facts = make_facts(
        offroad_assessor, case, Declined(second), Corrected(first), Rode("better"), closed=closed
    )
    cards = (card_for(audience, facts, offroad_assessor) for audience in get_args(Audience))
    texts = [text for card in cards for text in text_of(card)]
    assert len(texts) > 30
    assert ids_in(rules, texts) == {}


def test_an_id_would_be_found(offroad: RuleBase) -> None:
    one = next(iter(sorted(known_ids(offroad))))
    assert ids_in(offroad, [f"ride after {one}: better"]) == {one: f"ride after {one}: better"}
    assert ids_in(offroad, [f"ride after x{one}"]) == {}
    assert all("-" in name for name in known_ids(offroad)) and len(known_ids(offroad)) > 500
