"""Stacks of packs at work in every process of a trial, each loaded once there."""

from __future__ import annotations

import functools
from pathlib import Path

from diagnose.advice.assessor import Assessor
from rules.loading.loader import load_packs
from rules.rulebase import RuleBase

FEWEST = 16
"""Fewer cases are worked in this process: to start others would take longer."""

Stack = tuple[Path, ...]
"""Folders of packs, each building on those before it; empty for the pack that ships."""


@functools.cache
def rules_of(stack: Stack) -> RuleBase:
    """The rule base of a stack. Raises `FileProblems`."""
    return load_packs(stack)


@functools.cache
def assessor_for(stack: Stack) -> Assessor:
    """The packs ready for work. Raises `FileProblems`."""
    return Assessor(rules_of(stack))
