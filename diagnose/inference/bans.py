"""Why a bike must not be ridden: what rules forbid, an unsafe fault that was found, and danger that
is more likely than the policy allows, summed over all causes. Rank plays no part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.findings.concluding import Raised
from diagnose.inference.found_faults import FoundFault, found_faults
from diagnose.inference.posterior import Belief, Chances, Model
from rules.language.conditions import names_in


@dataclass(frozen=True, slots=True)
class Danger:
    """The chance that any cause with which nobody should ride is there, and the likeliest."""

    chance: float
    causes: tuple[str, ...]


Ban = Raised | FoundFault | Danger


def riding_bans(model: Model, belief: Belief) -> tuple[Ban, ...]:
    """Every reason not to ride; none once what was behind them is known to be put right.

    A fault found is left out where a rule that looks at the same observation forbids riding
    already, and the chance of danger where anything else does. None rests on a figure alone that is
    not the bike's own.
    """
    rules = model.rules
    raised = belief.findings.do_not_ride
    looked_at = {name for item in raised for name in names_in(rules.rules[item.rule].when)}
    faults = tuple(
        fault
        for fault in found_faults(model, belief)
        if rules.causes[fault.cause].unsafe
        and not fault.put_right
        and fault.chance >= rules.policy.ban_from
        and not fault.shown_by.by_kind
        and fault.shown_by.key not in looked_at
    )
    if raised or faults:
        return (*raised, *faults)
    causes = model.network.causes
    unsafe = belief.matters & model.unsafe
    chances = belief.chances
    if 1 - chances.none_of(unsafe) >= rules.policy.ban_from:
        chances = _without_rules_of_thumb(model, belief)
    chance = 1 - chances.none_of(unsafe)
    if chance < rules.policy.ban_from:
        return ()
    marginal = np.where(unsafe, chances.marginal, 0.0)
    order = np.argsort(-marginal, kind="stable")
    worth_naming = max(float(marginal.max()) / 2, rules.policy.safety_floor)
    named = tuple(causes[index] for index in order if marginal[index] >= worth_naming)
    return (Danger(chance, named),)


def _without_rules_of_thumb(model: Model, belief: Belief) -> Chances:
    """The posterior without the readings on which no ban may rest."""
    sure = [item for item in belief.evidence if not item.by_kind]
    if len(sure) == len(belief.evidence):
        return belief.chances
    return model.weigh(sure, belief.applies)
