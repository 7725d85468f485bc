"""Ids of a rule base in texts for people, where only titles belong."""

from __future__ import annotations

import re
from collections.abc import Iterable

from rules.rulebase import RuleBase

_WORD = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")


def known_ids(rules: RuleBase) -> frozenset[str]:
    """Every id with a hyphen that is no word of the trade as well, such as `top-out`."""
    sections = (
        rules.causes, rules.corrections, rules.observations, rules.findings, rules.rules,
        rules.cautions, rules.specs, rules.traits, rules.complaints,
    )  # fmt: skip
    ids = {key for section in sections for key in section if "-" in key}
    titles = " ".join(cause.title for cause in rules.causes.values())
    return frozenset(ids.difference(_WORD.findall(titles.lower())))


def ids_in(rules: RuleBase, texts: Iterable[str]) -> dict[str, str]:
    """The ids that stand in `texts`, each with a text that has it."""
    known = known_ids(rules)
    return {word: text for text in texts for word in _WORD.findall(text) if word in known}
