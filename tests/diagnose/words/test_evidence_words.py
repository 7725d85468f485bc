"""What a piece of evidence says in words."""

from __future__ import annotations

from diagnose.case.events import Case, Complained, Corrected, read_answer
from diagnose.diagnosis import Workshop
from diagnose.words.steps import evidence_text


def test_evidence_shows_the_reading_it_was_found_by(offroad_shop: Workshop) -> None:
    """Taken twice before a correction, the latest of the two; the one after it is other evidence."""
    rules = offroad_shop.rules
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
    belief = offroad_shop.assess(case).belief
    told = [evidence_text(rules, item, case) for item in belief.evidence if item.key == gauge]
    assert [("25 psi" in text, "13 psi" in text) for text in told] == [(True, False), (False, True)]
    assert "24 psi" not in "".join(told)
