"""No name of a module in what a rider or a technician reads."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.calculators import calculators
from diagnose.case.files import load_worked_cases
from diagnose.words.sources import source_text
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase
from tui.harshness.harsh_lines import WORKED_OUT
from tui.plain.lines import next_step_lines, summary_lines, why_lines

_MODULE = re.compile(r"\b(?:rules|diagnose|tui)\.[a-z_]+")


def modules_in(texts: Iterable[str]) -> list[str]:
    return [text for text in texts if _MODULE.search(text)]


def _calculator_texts() -> Iterator[str]:
    for item in calculators().values():
        yield from (item.title, item.formula, item.source, *item.cautions)
        yield from (given.source for given in item.inputs)


def test_a_module_would_be_seen() -> None:
    named = "Computed by diagnose.physics.budget."
    assert modules_in([named, "computed from two masses"]) == [named]


def test_sources_and_reasons_of_a_case_name_no_module(offroad_assessor: Assessor) -> None:
    rules: RuleBase = offroad_assessor.rules
    texts = [source_text(rules, name) for name in rules.sources]
    assert any(text.startswith("computed: ") for text in texts)
    for worked in load_worked_cases(rules, OFFROAD / WORKED_CASES)[::10]:
        made = offroad_assessor.assess(worked.case)
        for say in (summary_lines, next_step_lines, why_lines):
            texts.append(" ".join(say(rules, worked.case, made)))
    assert modules_in(texts) == []


@pytest.mark.parametrize("texts", [[WORKED_OUT], list(_calculator_texts())])
def test_sums_say_in_words_what_they_are_computed_from(texts: list[str]) -> None:
    assert texts
    assert modules_in(texts) == []
