"""Doubts about what a pack does to those below it."""

from __future__ import annotations

from collections.abc import Iterator

from rules.review.doubts import Doubt
from rules.rulebase import RuleBase


def stack_doubts(rules: RuleBase) -> Iterator[Doubt]:
    """Changes that change nothing, and safety checks and warnings that are switched off."""
    for (section, key), written in rules.written.items():
        for change in written.changes:
            if not change.makes_a_difference:
                at, name = change.origin, f"{section}.{key}" if key else section
                message = "this is what it holds already; take the change out"
                yield Doubt(at.file, at.line, at.column, "no-change", f"changes.{name}", message)
    for (section, key), off in rules.off.items():
        if off.guards:
            at = off.origin
            message = "this kept riders safe; be sure that it is looked at in another way"
            if (section, key) != off.named:
                message = f"{'.'.join(off.named)} takes it along. {message.capitalize()}"
            name = f"switched_off.{section}.{key}"
            yield Doubt(at.file, at.line, at.column, "safety-off", name, message)
