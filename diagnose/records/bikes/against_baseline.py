"""A bike's settings against its baseline and its targets."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case.events import target_of
from diagnose.records.bikes.bike import Bike, Setting
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class SettingDifference:
    """One setting: its baseline, if it has one, and how it is now.

    `target` is what the manual (or a rule of thumb) says.
    """

    observation: str
    title: str
    baseline: Setting | None
    now: Setting
    target: Quantity | None
    rule_of_thumb: bool


def differences(rules: RuleBase, bike: Bike) -> list[SettingDifference]:
    """Every setting on record that the rule base knows, in its order."""
    found = []
    for key, entry in rules.observations.items():
        if key not in bike.now:
            continue
        target, thumb = (None, False)
        if entry.target is not None:
            target, thumb = target_of(rules, bike.machine, entry.target)
        baseline, now = bike.baseline.get(key), bike.now[key]
        found.append(SettingDifference(key, entry.ask, baseline, now, target, thumb))
    return found
