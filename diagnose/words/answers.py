"""Answers and readings in words: what was answered, what can be, and what is none of it."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.case.events import Answered, Case
from rules.language.schema import Observation
from rules.rulebase import RuleBase
from rules.units.quantities import units_like


def answer_text(rules: RuleBase, answer: Answered) -> str:
    """An answer as a person would say it: the reading, the state's label, or why there is none.

    For an observation that this rule base does not know, the reading or state as it was written.
    """
    if answer.reading is not None:
        return str(answer.reading)
    if answer.state is not None:
        entry = rules.observations.get(answer.observation)
        return answer.state if entry is None else entry.states.get(answer.state, answer.state)
    return "cannot be checked here" if answer.cannot_here else "don't know"


def choices(entry: Observation) -> list[tuple[str, str]]:
    """(state, label) of every answer, in the order they are offered; a yes/no offers yes first."""
    states = list(entry.states.items())
    return states[::-1] if set(entry.states) == {"no", "yes"} else states


def unit_of_bare(rules: RuleBase, case: Case, observation: str) -> str:
    """The unit meant by a number without one: the unit of the bike's own target, which is shown
    with the question, or else the pack's."""
    entry = rules.observations[observation]
    assert entry.unit is not None
    given = case.targets.get(entry.target or "")
    return given.unit if given is not None and given.unit in units_like(entry.unit) else entry.unit


def accepted(unit: str, words: Iterable[str] = ()) -> str:
    """What may be typed as a reading, where a number without a unit is in `unit`, and the `words`
    that say it without a figure."""
    own, others = units_like(unit)[:1], units_like(unit)[1:]
    figure = f"figure in {own[0]}" if own else "plain number"
    with_unit = f", or with its unit: {', '.join(others)}" if others else ""
    return f"{figure}{with_unit}" + "".join(f"; or: {word}" for word in words)


def none_of(text: str, labels: Iterable[str]) -> str:
    """The message that `text` does nothing, and what does, under these labels."""
    return f"{text!r} does nothing here. Here: {'; '.join(labels)}."
