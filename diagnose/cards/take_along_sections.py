"""The sections of the list that a rider takes along to a workshop."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.advice.sheet import SheetRow
from diagnose.advice.taking_along import TakeAlong
from diagnose.cards.blocks import Section, drawings_of
from diagnose.cards.card_facts import CardFacts
from diagnose.words.chances import counted
from diagnose.words.step_words import caution_texts
from diagnose.words.take_along_words import (
    answer_lines,
    check_text,
    done_lines,
    found_text,
    on_the_way_lines,
    otherwise_text,
    suspect_rows,
)
from rules.rulebase import RuleBase

_IN_ORDER = "What settles the likeliest suspect first; nothing is opened before the rest."
_MOST_CHECKS = 10
_HEAD = ("Check", "Minutes", "Needs", "Would show")


def take_along_parts(facts: CardFacts, along: TakeAlong) -> tuple[Section, ...]:
    """Cautions, what is known, what is suspected, and what is to be checked, in order."""
    rules, case = facts.rules, facts.case
    checks = along.checks[:_MOST_CHECKS]
    left = len(along.checks) - len(checks)
    about = [_IN_ORDER if checks else "Nothing is left to look at."]
    if left:
        about.append(f"Left out: {counted(left, 'check')} that would tell less.")
    return (
        _cautions(facts, along, checks),
        Section("Found", items=tuple(found_text(rules, case, fault) for fault in along.found)),
        Section("Put right already", items=tuple(done_lines(rules, case))),
        Section("Asked and looked at", items=tuple(answer_lines(rules, case, along))),
        Section(
            "Suspected",
            tuple(filter(None, [otherwise_text(along)])),
            head=("Cause", "It is", "Put right by"),
            table=tuple(suspect_rows(rules, along)),
        ),
        Section(
            "To be checked, in this order",
            tuple(about),
            head=_HEAD,
            table=_table(rules, checks),
            drawings=drawings_of(
                rules, (rules.observations[row.about].picture for row in checks if not row.is_work)
            ),
        ),
        Section("To be looked at while it is open", items=tuple(on_the_way_lines(rules, along))),
        Section(
            "Rides, not before the leak or the danger is cured",
            head=_HEAD,
            table=_table(rules, along.after[:_MOST_CHECKS]),
        ),
    )


def _table(rules: RuleBase, checks: Sequence[SheetRow]) -> tuple[tuple[str, ...], ...]:
    rows = [check_text(rules, row) for row in checks]
    return tuple(
        (f"{number}. {row.title}", row.minutes, row.needs, row.settles)
        for number, row in enumerate(rows, 1)
    )


def _cautions(facts: CardFacts, along: TakeAlong, checks: Sequence[SheetRow]) -> Section:
    """What to mind at the checks, and at the work that is sure to come."""
    rules = facts.rules
    work = [rules.causes[fault.cause].correction for fault in along.found]
    work += [r.correction for r in along.repairs if r.chance >= rules.policy.settled]
    names = dict.fromkeys(facts.assessment.cautions)
    names.update(dict.fromkeys(name for row in checks for name in row.cautions))
    for correction in work:
        names.update(dict.fromkeys(rules.corrections[correction].cautions))
    return Section("Cautions", items=caution_texts(rules, names), warning=True)
