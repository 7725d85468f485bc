"""The model and the rules say the same of what makes a bike harsh, or the page says why not."""

from __future__ import annotations

import pytest

from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.said import unseen_words
from diagnose.harshness.shares import PERHAPS, answer_end
from diagnose.harshness.unseen import seen_readings, unseen
from diagnose.harshness.values import End, KnownValues, read_value
from rules.rulebase import RuleBase

LIKELY = {"likely", "very likely", "extremely likely", "virtually certain"}
"""The words of the scale from 'likely' on."""


def linked(rules: RuleBase) -> set[tuple[str, str]]:
    """(cause, end) wherever the pack says 'likely' or more for a harsh feel."""
    return {
        (name, complaint.partition("/")[2])
        for name, cause in rules.causes.items()
        for complaint, word in cause.shows.items()
        if complaint.startswith("harsh") and str(word) in LIKELY
    }


def test_every_likely_cause_is_seen_or_said_to_be_unseen(offroad: RuleBase) -> None:
    """And none is both, and none is there that the pack does not have."""
    seen = set(seen_readings())
    hidden = [name for item in unseen() for name in item.causes]
    assert len(hidden) == len(set(hidden))
    assert not seen & set(hidden)
    assert {name for name, _ in linked(offroad)} == seen | set(hidden)


@pytest.mark.parametrize("cause", sorted(seen_readings()))
def test_what_the_rules_call_likely_lies_clearly_above_nothing(
    offroad: RuleBase, cause: str
) -> None:
    """Its band on the worst ride or in another sense: a felt step or more, and no range across 0."""
    values = {name: read_value(name, text) for name, text in seen_readings()[cause].items()}
    case = build_case(KnownValues(values))
    (end,) = {End(end) for name, end in linked(offroad) if name == cause}
    answer = answer_end(case, end)
    shaken = answer.steps(answer.worst)
    assert (shaken.middle >= PERHAPS and shaken.low > 0.0) or answer.felt_otherwise


def test_what_it_cannot_see_is_on_the_page_with_the_reason(offroad: RuleBase) -> None:
    for hidden in unseen():
        assert {(name, hidden.end.value) for name in hidden.causes} <= linked(offroad)
        assert hidden.what in unseen_words(hidden.end)
        assert hidden.why in unseen_words(hidden.end)


def test_the_worst_fault_of_the_trade_comes_first() -> None:
    """19 psi before a shut needle, bound clamps and air, and a stiff spring last of all."""
    found = {}
    for cause in (
        "front-tyre-pressure-high", "fork-compression-closed", "legs-pinched", "fork-air-trapped",
        "fork-springs-too-stiff",
    ):  # fmt: skip
        values = {name: read_value(name, text) for name, text in seen_readings()[cause].items()}
        answer = answer_end(build_case(KnownValues(values)), End.FRONT, quick=True)
        found[cause] = answer.steps(answer.worst).middle
    order = sorted(found, key=lambda cause: -found[cause])
    assert order[0] == "front-tyre-pressure-high"
    assert order[-1] == "fork-springs-too-stiff"
