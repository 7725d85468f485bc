"""What a piece of evidence says in words."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained, Corrected, Rode, read_answer
from diagnose.words.evidence_words import evidence_text


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
