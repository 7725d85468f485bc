"""Rules in words: if this holds, that follows."""

from __future__ import annotations

from diagnose.words.titles import lowered
from rules.language.schema import Condition, Rule
from rules.rulebase import RuleBase

_LIMITS = {
    "above": "is above",
    "below": "is below",
    "at_least": "is at least",
    "at_most": "is at most",
}


def rule_in_words(rules: RuleBase, rule: Rule) -> tuple[str, str]:
    """The condition and the conclusion, each as part of a sentence."""
    return condition_in_words(rules, rule.when), _conclusion(rules, rule)


def condition_in_words(rules: RuleBase, condition: Condition) -> str:
    """A condition as part of a sentence; brackets stand where parts could be read two ways."""
    for parts, joint in ((condition.all, " and "), (condition.any, " or ")):
        if parts is not None:
            return joint.join(_bracketed(rules, part, alone=len(parts) == 1) for part in parts)
    if condition.not_ is not None:
        return f"it is not known that {_bracketed(rules, condition.not_, alone=False)}"
    if condition.fact is not None:
        states = " or ".join(f"“{_state(rules, condition.fact, s)}”" for s in condition.is_)
        return f"{fact_title(rules, condition.fact)} is {states}"
    return _reading(rules, condition)


def _bracketed(rules: RuleBase, part: Condition, *, alone: bool) -> str:
    text = condition_in_words(rules, part)
    return f"({text})" if not alone and (part.all or part.any) else text


def _reading(rules: RuleBase, leaf: Condition) -> str:
    assert leaf.reading is not None
    name = fact_title(rules, leaf.reading)
    if leaf.exceeds is not None:
        return f"{name} is more than {fact_title(rules, leaf.exceeds)} by over {leaf.by}"
    if leaf.differs_from is not None:
        return f"{name} and {fact_title(rules, leaf.differs_from)} differ by over {leaf.by}"
    field, words = next(
        (field, words) for field, words in _LIMITS.items() if getattr(leaf, field) is not None
    )
    return f"{name} {words} {getattr(leaf, field)}"


def _conclusion(rules: RuleBase, rule: Rule) -> str:
    then = rule.then
    if then.finding is not None:
        name, state = next(iter(then.finding.items()))
        return f"{fact_title(rules, name)} is “{_state(rules, name, state)}”"
    if then.caution is not None:
        return f"mind: {rules.cautions[then.caution].text}"
    if then.do_not_ride is not None:
        work = " or ".join(lowered(rules.corrections[name].title) for name in then.until)
        lifted = f" It stands until one of these is done: {work}." if work else ""
        return f"do not ride: {then.do_not_ride}{lifted}"
    again = ", ".join(fact_title(rules, name) for name in then.check)
    return f"two answers do not fit together: {then.contradiction} Check again: {again}"


def fact_title(rules: RuleBase, name: str) -> str:
    """What a rule calls a fact, without the mark at the end of a question."""
    if name in rules.nodes:
        return rules.nodes[name].title.rstrip("?:. ")
    if name in rules.observations:
        return rules.observations[name].ask.rstrip("?:. ")
    if name in rules.findings:
        return rules.findings[name].title
    return rules.traits[name].title if name in rules.traits else name


def _state(rules: RuleBase, name: str, state: str) -> str:
    if name in rules.nodes:
        return rules.nodes[name].label(state)
    if name in rules.observations:
        return rules.observations[name].states[state]
    if name in rules.findings:
        return rules.findings[name].states[state]
    return rules.traits[name].options[state] if name in rules.traits else state
