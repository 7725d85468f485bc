"""What a piece of evidence says in words."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained, Corrected, Rode, read_answer, read_target
from diagnose.words.evidence_words import evidence_text
from diagnose.words.figure_words import NOT_JUDGED
from rules.rulebase import RuleBase


def test_evidence_shows_the_reading_it_was_found_by(offroad_assessor: Assessor) -> None:
    """Taken twice before a correction, the latest of the two; the one after it is other evidence."""
    rules = offroad_assessor.rules
    gauge = "front-tyre-gauge"
    case = Case(
        events=(
            Complained("harsh", "front"),
            read_answer(rules, gauge, "24 psi"),
            read_answer(rules, gauge, "25 psi"),
            Corrected("set-front-tyre-pressure"),
            read_answer(rules, gauge, "13 psi"),
        )
    )
    belief = offroad_assessor.assess(case).belief
    told = [evidence_text(rules, item, case) for item in belief.evidence if item.key == gauge]
    assert [("25 psi" in text, "13 psi" in text) for text in told] == [(True, False), (False, True)]
    assert "24 psi" not in "".join(told)


def test_a_ride_is_told_by_the_work_before_it(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    done = (Corrected("set-front-tyre-pressure"), Rode("better"))
    belief = offroad_assessor.assess(Case(events=(Complained("harsh", "front"), *done))).belief
    (told,) = [evidence_text(rules, item) for item in belief.evidence if item.kind == "ride"]
    title = rules.corrections["set-front-tyre-pressure"].title
    assert told == f"ride: better, after this work: {title[:1].lower()}{title[1:]}"


def test_a_reading_is_told_with_whose_figure_it_is_held_against(offroad_assessor: Assessor) -> None:
    """A rule of thumb is never told as the manual's figure."""
    rules, told = offroad_assessor.rules, []
    clicks = read_answer(rules, "fork-rebound-clicks", "13")
    for targets in ({}, dict([read_target(rules, "fork-rebound", "14 clicks")])):
        case = Case({}, targets, (Complained("harsh", "front"), clicks))
        belief = offroad_assessor.assess(case).belief
        told += [evidence_text(rules, item, case) for item in belief.evidence if item.key == clicks.observation]  # fmt: skip
    by_thumb, by_manual = (text.partition(": ")[2] for text in told)
    assert (
        by_thumb
        == f"13 clicks: {NOT_JUDGED}; if anything near its figure (12 clicks rule of thumb)"
    )
    assert by_manual == "13 clicks: near its figure (14 clicks as given)"


def test_no_band_of_a_reading_says_that_its_figure_is_the_manuals(offroad: RuleBase) -> None:
    """Whose it is depends on the bike; the words around the label tell it."""
    held = [o for o in offroad.observations.values() if o.target is not None and o.bands]
    assert len(held) > 10
    assert [o.ask for o in held for label in o.states.values() if "manual" in label] == []
